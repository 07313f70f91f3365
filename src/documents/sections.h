#pragma once
/// The parts of the PDF, from the cover to the lines to sign on.

#include "flow.h"
#include "offered/documents/documents.h"
#include "offered/report/report_contents.h"

namespace ohmglow::documents {

/// What every part is made from.
struct Document {
  const report::Pieces& survey;
  const report::Contents& contents;
  const report::OpenImage& open_image;
  const report::Extras& extras;
};
/// The findings that are read at one time, with the motors that they belong to.
struct Source {
  const diagnosis::Assessment& assessment;
  const report::Lookup& lookup;
  const report::OpenImage& open_image;
  const report::Extras& extras;
};

/// The first page: what each person acts on.
void answer(Pages& pages, const Document& of);
void ranked_list(Pages& pages, const report::Contents& contents);
/// A page a case. Errors: those of reading.
[[nodiscard]] Result<void> findings(Pages& pages, const Document& of);
/// What was not judged, even or not seen; scope, rules and problems.
void beside_the_findings(Pages& pages, const Document& of);
/// What only a full report holds. Errors: those of reading.
[[nodiscard]] Result<void> evidence(Pages& pages, const Document& of);
/// Sweeps and air gaps with their pictures, where there are any.
void rotor_section(Pages& pages, const std::string& title,
                   const std::vector<report::RotorShown>& rotors);
void appendices(Pages& pages, const report::Contents& contents);
void sign_off(Pages& pages, const Document& of);

/// A heading with its anchor and bookmark, on a page of its own where asked for.
void begin_section(Pages& pages, const std::string& title, const std::string& anchor,
                   bool on_new_page);

/// The case that a finding leads, on a page of its own.
void finding_page(Pages& pages, const Source& source, const diagnosis::Finding& finding,
                  int parent_bookmark);
/// Every number and argument of a finding, and where its uncertainties come from.
void evidence_of(Pages& pages, const Source& source, const diagnosis::Finding& finding);

}  // namespace ohmglow::documents
