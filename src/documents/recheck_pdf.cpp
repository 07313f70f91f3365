#include "certificate_parts.h"
#include "listing.h"

namespace ohmglow::documents {
namespace {

constexpr double kCertificateTitle = 20;
constexpr double kCertificateLabelShare = 0.24;

void list_files(Pages& pages, const std::string& caption,
                const std::vector<report::RecheckCertificate::File>& files) {
  if (files.empty()) return;
  report::Listing list{
      "files", caption, {{"File", 1.3}, {"State", 1.8}, {"SHA-256 now", 2.6}}, {}, ""};
  for (const auto& file : files) list.rows.push_back({{file.path}, {file.state}, {file.sha256}});
  pages.y += 8;
  flow_listing(pages, list);
}

void compose_certificate(Pages& pages, const report::RecheckCertificate& certificate,
                         std::string_view dated) {
  describe_document(pages, certificate.title, dated);
  pages.new_page();
  const Tagged document(pages, "Document");
  add_title(pages, certificate.title, kCertificateTitle, "H1");
  Blocks head;
  add_text(head, pages, certificate.conclusion, pages.width(),
           Style{.size = 11, .bold = true, .tone = tone_of_level(certificate.is_good ? 1 : 4)}, 0,
           6);
  for (const auto& [label, value] : certificate.facts) {
    add_fact(head, pages, label, value, pages.width(), pages.width() * kCertificateLabelShare);
  }
  flow(pages, std::move(head));
  list_files(pages, "Outputs, and what stands behind each", certificate.outputs);
  list_files(pages, "Inputs that are not as recorded", certificate.inputs);
  if (!certificate.remarks.empty()) {
    pages.y += 10;
    add_title(pages, "What does not agree", kHeading, "H2");
    add_lines(pages, certificate.remarks);
  }
  pages.y += 14;
  Blocks sign;
  add_sign_line(sign, pages, "Auditor");
  flow(pages, std::move(sign));
}

}  // namespace

Result<std::string> certificate_pdf(const report::RecheckCertificate& certificate,
                                    std::string_view dated, Paper paper) {
  const Running running{certificate.title, std::string(dated), certificate.conclusion};
  return printed_twice(paper, running,
                       [&](Pages& pages) { compose_certificate(pages, certificate, dated); });
}

}  // namespace ohmglow::documents
