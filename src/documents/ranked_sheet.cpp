#include "ohmglow/reader.h"
#include "sheets.h"

#include <algorithm>
#include <map>
#include <opencv2/imgproc.hpp>

namespace ohmglow::documents {
namespace {

using diagnosis::Finding;
using radiometry::Estimate;

constexpr int kThumbWidth = 128;
constexpr double kThumbScale = 0.75;
constexpr double kRowHeight = 60;  // points, for the picture
constexpr std::size_t kBandColumn = 2;

const SheetColumn kColumns[] = {
    {msg("Rank"), 6, Look::whole},
    {msg("Image"), 15, Look::text},
    {msg("Band"), 13, Look::text},
    {msg("Verdict"), 15, Look::wrapped},
    {msg("Motor"), 14, Look::wrapped},
    {msg("Component"), 18, Look::wrapped},
    {msg("Phase"), 7, Look::whole},
    {msg("Phase as named"), 8, Look::text},
    {msg("Lug"), 8, Look::text},
    {msg("Temperature"), 12, Look::one_place, Of::temperature},
    {msg("u of temperature"), 11, Look::two_places, Of::difference},
    {msg("Reference"), 11, Look::one_place, Of::temperature},
    {msg("Rise over like"), 10, Look::one_place, Of::difference},
    {msg("u of rise over like"), 10, Look::two_places, Of::difference},
    {msg("Rise over air"), 10, Look::one_place, Of::difference},
    {msg("u of rise over air"), 10, Look::two_places, Of::difference},
    {msg("Rise over like at rated load"), 12, Look::one_place, Of::difference},
    {msg("Load, A"), 9, Look::one_place},
    {msg("Load, % of rated"), 9, Look::one_place},
    {msg("Band decided by"), 10, Look::text},
    {msg("Phase highest by resistance"), 11, Look::whole},
    {msg("Unbalance of the pairs, %"), 11, Look::two_places},
    {msg("Excess, ohm"), 11, Look::six_places},
    {msg("Excess, W"), 9, Look::one_place},
    {msg("Recommended action"), 40, Look::wrapped},
    {msg("Next step"), 50, Look::wrapped},
    {msg("Image file"), 28, Look::wrapped}};

std::optional<double> number_of_phase(const std::optional<Phase>& phase) {
  return phase ? std::optional<double>(number_of(*phase)) : std::nullopt;
}

// Small pictures by image file; empty where one cannot be drawn, which the PDF and the HTML say.
class Thumbs {
 public:
  explicit Thumbs(const SheetSource& source) : source_(source) {}

  const std::vector<std::byte>& of(const std::string& file) {
    const auto [at, is_new] = made_.try_emplace(file);
    if (is_new) at->second = make(file);
    return at->second;
  }

 private:
  [[nodiscard]] std::vector<std::byte> make(const std::string& file) const {
    const ImageEntry* entry = source_.lookup.entry(file);
    const diagnosis::ImageResult* result = source_.lookup.image(file);
    if (entry == nullptr || result == nullptr) return {};
    const auto image = source_.open_image(*entry);
    if (!image) return {};
    const auto picture = report::picture_of(*image, *result, nullptr);
    if (!picture) return {};
    const double factor = std::min(kThumbWidth / static_cast<double>(picture->frame.cols),
                                   kThumbWidth * 0.8 / picture->frame.rows);
    cv::Mat small;
    cv::resize(picture->frame, small, {}, factor, factor,
               factor < 1 ? cv::INTER_AREA : cv::INTER_NEAREST);
    auto png = imaging::encode_png(small);
    return png ? std::move(*png) : std::vector<std::byte>{};
  }

  const SheetSource& source_;
  std::map<std::string, std::vector<std::byte>> made_;
};

void heat(Sheet& sheet, const Finding& f) {
  sheet.number(f.temperature_c);
  sheet.number(f.temperature_u_c);
  sheet.number(f.reference_c);
  sheet.number(value_of(f.rise_over_like));
  sheet.number(u_of(f.rise_over_like));
  sheet.number(value_of(f.rise_over_air));
  sheet.number(u_of(f.rise_over_air));
  sheet.number(f.projected_rise ? std::optional(f.projected_rise->rise.value()) : std::nullopt);
  sheet.number(f.load_a);
  sheet.number(f.load_pct);
}

void row(Sheet& sheet, const SheetSource& source, Thumbs& thumbs, const Finding& f) {
  const diagnosis::Assessment& a = source.assessment;
  const report::Card card = report::card_of(source.lookup, f);
  sheet.next_row();
  sheet.number(f.rank);
  const std::vector<std::byte> none;
  const auto& png = f.image ? thumbs.of(*f.image) : none;
  if (png.empty()) {
    sheet.skip();
  } else {
    sheet.picture(png, kThumbScale, say("Thermal image {}", *f.image));
  }
  sheet.text(card.band);
  sheet.text(card.verdict);
  sheet.text(f.motor);
  sheet.text(f.component);
  sheet.number(number_of_phase(f.phase));
  sheet.text(f.phase ? a.survey.phase_names.at(index_of(*f.phase)) : std::string());
  sheet.text(f.lug.value_or(""));
  heat(sheet, f);
  sheet.text(severity::name_of(f.grade.by));
  sheet.number(number_of_phase(f.electrical_phase));
  sheet.number(value_of(f.resistance_unbalance));
  sheet.number(value_of(f.excess_ohm));
  sheet.number(value_of(f.excess_w));
  sheet.text(written(f.action));
  sheet.text(written(f.next_step));
  sheet.text(f.image.value_or(""));
}

}  // namespace

void ranked_sheet(Workbook& book, const SheetSource& source) {
  Sheet sheet(book, tr("Ranked list"), kColumns, source.footer, kRowHeight);
  Thumbs thumbs(source);
  for (const Finding& finding : source.assessment.findings) row(sheet, source, thumbs, finding);
  for (const report::Tally& tally : source.contents.tallies) {
    sheet.tint(kBandColumn, tally.what, tally.level);
  }
  sheet.close();
}

}  // namespace ohmglow::documents
