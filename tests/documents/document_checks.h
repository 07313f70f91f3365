#pragma once
/// Documents of invented surveys, read by other programs.

#include "offered/documents/documents.h"

#include <string>
#include <vector>

namespace ohmglow::documents_test {

[[nodiscard]] std::string pdf_with(const diagnosis::Assessment& assessment,
                                   const report::OpenImage& open_image,
                                   const report::Extras& extras, documents::Paper paper);
[[nodiscard]] std::string pdf_of(const diagnosis::Assessment& assessment, documents::Paper paper,
                                 report::Detail detail = report::Detail::full);

/// What check_pdf.py finds wrong; each of `expected` must be in the text. "" where all is well.
[[nodiscard]] std::string wrong_with_pdf(const std::string& name,
                                         const diagnosis::Assessment& assessment,
                                         documents::Paper paper,
                                         const std::vector<std::string>& expected);
[[nodiscard]] std::string wrong_with_pdf_bytes(const std::string& name, const std::string& pdf,
                                               const diagnosis::Assessment& assessment,
                                               documents::Paper paper,
                                               const std::vector<std::string>& expected);

/// What a script of tests/documents says to these arguments.
[[nodiscard]] std::string script(const std::string& name,
                                 const std::vector<std::string>& arguments);

/// What a shell command prints.
[[nodiscard]] std::string shell(const std::string& command);

}  // namespace ohmglow::documents_test
