#include "records/findings_parts.h"
#include "records/json_values.h"

namespace ohmglow::records {
namespace {

using diagnosis::Budget;
using diagnosis::BudgetInput;
using diagnosis::Spread;

OrderedJson spread_json(const std::optional<Spread>& spread) {
  if (!spread) return {};
  return {{"mean_c", spread->mean},
          {"u_c", spread->u},
          {"low_c", spread->low},
          {"high_c", spread->high}};
}

OrderedJson input_json(const BudgetInput& input) {
  return {{"input", radiometry::name_of(input.kind)},
          {"of", input.of},
          {"value", input.value},
          {"unit", text_or_null(input.unit)},
          {"u", input.u},
          {"distribution", diagnosis::name_of(input.distribution)},
          {"sensitivity", input.sensitivity},
          {"contribution_c", input.u_k},
          {"share", input.share}};
}

}  // namespace

OrderedJson monte_carlo_json(const std::optional<diagnosis::MonteCarlo>& sampled) {
  if (!sampled) return {};
  return {{"trials", sampled->trials},
          {"stable", sampled->is_stable},
          {"outside_share", sampled->outside_share},
          {"temperature", spread_json(sampled->temperature_c)},
          {"rise_over_like", spread_json(sampled->over_like)},
          {"rise_over_air", spread_json(sampled->over_air)}};
}

OrderedJson budgets_json(const std::vector<Budget>& budgets) {
  return list_of(budgets, [](const Budget& budget) -> OrderedJson {
    return {{"quantity", budget.quantity},
            {"value_c", budget.value},
            {"u_c", budget.u},
            {"inputs", list_of(budget.inputs, input_json)}};
  });
}

}  // namespace ohmglow::records
