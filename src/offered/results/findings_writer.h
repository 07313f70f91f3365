#pragma once
/// findings.json written piece by piece: a survey of 100 000 images never stands in memory as one
/// text.

#include "offered/files/output_file.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"

#include <memory>
#include <string>
#include <string_view>

namespace ohmglow::records {

/// Lists come in the order of findings.json: images, components, motors, findings, warm_even,
/// not_judged, problems.
class FindingsWriter {
 public:
  /// Writes what stands before the lists.
  FindingsWriter(Sink sink, const Survey& survey, const severity::Policy& policy,
                 const diagnosis::Options& options);
  ~FindingsWriter();
  FindingsWriter(const FindingsWriter&) = delete;
  FindingsWriter& operator=(const FindingsWriter&) = delete;

  void begin_list(std::string_view name);
  /// An item as journal_entry() makes it.
  void item(std::string_view text);
  /// A finding, whose text has neither rank nor case number yet.
  void finding(std::size_t rank, int case_number, std::string_view text);
  void problem(const Problem& problem);
  void end_list();

  /// Errors: the first of the sink's.
  [[nodiscard]] Result<void> finish();

 private:
  std::unique_ptr<class Document> document_;
};

}  // namespace ohmglow::records
