#include "wording.h"

#include <algorithm>

namespace ohmglow::diagnosis {
namespace {

// The lug that the table gives its worst letter; of equal ones the warmest.
LugIndex worst_by_table(const Judging& judging, const ComponentCase& component) {
  const auto less = [&judging](LugIndex a, LugIndex b) {
    const LugResult& x = judging.lug(a);
    const LugResult& y = judging.lug(b);
    if (x.grade.band != y.grade.band) return x.grade.band < y.grade.band;  // absent comes first
    return x.temperature_c->value() < y.temperature_c->value();
  };
  return *std::max_element(component.lugs.begin(), component.lugs.end(), less);
}

Aside aside_of(const Judging& judging, std::size_t index) {
  const ComponentResult& component = judging.result.components[index];
  const LugIndex at = worst_by_table(judging, judging.components[index]);
  const LugResult& lug = judging.lug(at);
  Aside aside;
  aside.motor = component.motor;
  aside.component = component.component;
  aside.image = judging.result.images[at.image].file;
  aside.image_index = at.image;
  aside.phase = lug.phase;
  aside.lug = lug.name;
  aside.temperature_c = lug.temperature_c->value();
  aside.rise_over_like = lug.rise_over_like;
  aside.rise_over_air = lug.rise_over_air;
  aside.grade = lug.grade;
  aside.verdict = component.verdict;
  if (component.mean_load_a) {
    aside.load_a = component.mean_load_a->value();
    if (judging.row && judging.row->rated_a && judging.row->rated_a->value() > 0) {
      aside.load_pct = 100 * *aside.load_a / judging.row->rated_a->value();
    }
  }
  aside.next_step = component.next_step;
  return aside;
}

// Why the table's letter makes no finding.
Sentence why_even(const Judging& judging, const LugResult& lug) {
  const auto by_like =
      lug.rise_over_like
          ? severity::grade(judging.result.policy, lug.rise_over_like->value(), std::nullopt)
          : severity::Grade{};
  if (by_like.band && lug.hot_from_k) {
    return sentence("the rise over like of {} is within chance: sound lugs differ by up to {} here",
                    rise_text(*lug.rise_over_like, 1), difference(*lug.hot_from_k, 1));
  }
  return sentence("all lugs are equally warm: {} over air",
                  difference(lug.rise_over_air->value(), 1));
}

bool is_reported(const Judging& judging, std::size_t index) {
  const auto& images = judging.result.components[index].images;
  return std::any_of(
      judging.result.findings.begin(), judging.result.findings.end(), [&](const Finding& finding) {
        return finding.image_index &&
               std::find(images.begin(), images.end(), *finding.image_index) != images.end();
      });
}

}  // namespace

void list_asides(Judging& judging) {
  for (std::size_t c = 0; c < judging.components.size(); ++c) {
    const ComponentResult& component = judging.result.components[c];
    if (component.verdict == Verdict::open_phase) continue;
    if (component.verdict == Verdict::not_judged) {
      Aside aside = aside_of(judging, c);
      aside.why = component.why_not_judged;
      if (component.image_again_from)
        aside.image_again_from_a = component.image_again_from->value();
      judging.result.not_judged.push_back(std::move(aside));
      continue;
    }
    Aside aside = aside_of(judging, c);
    if (!aside.grade.band || is_reported(judging, c)) continue;
    const LugResult& lug = judging.lug(worst_by_table(judging, judging.components[c]));
    aside.why = why_even(judging, lug);
    if (component.verdict == Verdict::even) {
      aside.next_step = judging.result.policy.air_alone_action.empty()
                            ? sentence("Image again at the next survey and record the load.")
                            : sentence(judging.result.policy.air_alone_action);
    }
    judging.result.warm_even.push_back(std::move(aside));
  }
}

}  // namespace ohmglow::diagnosis
