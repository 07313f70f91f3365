#include "drawing_svg.h"
#include "offered/report/acceptance_contents.h"
#include "offered/report/report.h"
#include "offered/report/verification_contents.h"
#include "ohmglow/reader.h"
#include "page.h"
#include "page_templates.h"
#include "picture.h"
#include "verification_words.h"

#include <exception>

namespace ohmglow::report {
namespace {

std::string picture_text(const Result<Picture>& picture, const std::string& file) {
  if (!picture) return {};
  auto text = picture_svg(*picture, file);
  return text ? std::move(*text) : std::string();
}

Data pair_data(const VerificationSource& source, const BeforeAndAfter& pair) {
  Data data{Fields{{"component", pair.title},
                   {"before", svg(pair.ladders.before, "ladder")},
                   {"after", svg(pair.ladders.after, "ladder")},
                   {"before_day", pair.day_before},
                   {"after_day", pair.day_after}}};
  if (pair.image_before == nullptr || pair.image_after == nullptr) return data;
  const PicturePair pictures = picture_pair(source, pair);
  if (!pictures.before || !pictures.after) return data;
  data.set("pictures",
           Data{Fields{{"before", picture_text(pictures.before, pair.image_before->file)},
                       {"after", picture_text(pictures.after, pair.image_after->file)},
                       {"before_file", pair.image_before->file},
                       {"after_file", pair.image_after->file}}});
  return data;
}

Data motor_data(const VerificationSource& source, const MotorRepair& motor, std::size_t number) {
  List lines;
  for (const ChangeLine& line : motor.lines) {
    lines.push_back(
        Fields{{"what", line.what}, {"change", title_of(line.change)}, {"reason", line.reason}});
  }
  List pairs;
  for (const BeforeAndAfter& pair : motor.pairs) pairs.push_back(pair_data(source, pair));
  List assumptions;
  for (const Fact& e : motor.assumptions) {
    assumptions.push_back(Fields{{"text", e.label}, {"source", e.value}});
  }
  Data data{Fields{{"number", std::to_string(number)},
                   {"motor", motor.motor},
                   {"level", std::to_string(motor.level)},
                   {"change", motor.change},
                   {"headline", motor.headline},
                   {"alarm", motor.alarm},
                   {"has_alarm", !motor.alarm.empty()},
                   {"lines", lines},
                   {"has_lines", !lines.empty()},
                   {"rest", motor.rest},
                   {"has_rest", !motor.rest.empty()},
                   {"pairs", pairs},
                   {"money", fact_list(motor.money)},
                   {"has_money", !motor.money.empty()},
                   {"assumptions", assumptions},
                   {"has_assumptions", !assumptions.empty()}}};
  if (!motor.heat_less.empty()) data.set("watts", motor.heat_less);
  if (!motor.certain.empty()) data.set("certain", motor.certain);
  if (!motor.risk.empty()) data.set("risk", motor.risk);
  return data;
}

Data page_data(const VerificationSource& source) {
  const RepairContents contents = repair_contents(source.verification, source.before, source.after);
  List tallies;
  for (const Tally& tally : contents.tallies) {
    tallies.push_back(Fields{{"count", std::to_string(tally.count)},
                             {"what", tally.what},
                             {"level", std::to_string(tally.level)}});
  }
  List shops;
  for (const acceptance::Compared& shop : source.shops) {
    shops.push_back(listing_data(acceptance_changes(shop.before, shop.after)));
  }
  List motors;
  for (const MotorRepair& motor : contents.motors) {
    motors.push_back(motor_data(source, motor, motors.size() + 1));
  }
  const std::vector<RotorShown> rotors = rotors_compared(source.before.survey, source.after.survey);
  Data data{Fields{{"site", contents.site},
                   {"tallies", tallies},
                   {"cautions", text_list(contents.cautions)},
                   {"facts", fact_list(contents.facts)},
                   {"motors", motors},
                   {"has_motors", !motors.empty()},
                   {"rotors", rotor_list(rotors)},
                   {"has_rotors", !rotors.empty()},
                   {"shops", shops},
                   {"has_shops", !shops.empty()},
                   {"new_faults", text_list(contents.new_faults)},
                   {"has_new_faults", !contents.new_faults.empty()},
                   {"open", listing_data(contents.open)},
                   {"remarks", text_list(contents.remarks)},
                   {"has_remarks", !contents.remarks.empty()},
                   {"totals", fact_list(contents.totals)},
                   {"has_totals", !contents.totals.empty()},
                   {"rules", text_list(contents.rules)},
                   {"problems", listing_data(contents.problems)},
                   {"signs", text_list(contents.signs)}}};
  set_frame(data, {});
  if (!rotors.empty()) data.set("style", report_style() + embedded_text("rotor.css"));
  return data;
}

}  // namespace

Result<std::string> verification_html(const VerificationSource& source) {
  try {
    return page_template("verification.html.mustache").render(page_data(source));
  } catch (const std::exception& error) {
    return fail(
        {ErrorKind::system, "the page could not be composed", error.what(), "", "free memory", {}});
  }
}

}  // namespace ohmglow::report
