#include "records/results/findings_parts.h"

namespace ohmglow::records {
namespace {

using diagnosis::Budget;
using diagnosis::BudgetInput;
using diagnosis::Spread;

}  // namespace

// Found beside the type that it is for, so not in the namespace without a name.
static void put(JsonWriter& json, const Spread& spread) {
  JsonObject object(json);
  object("mean_c", spread.mean);
  object("u_c", spread.u);
  object("low_c", spread.low);
  object("high_c", spread.high);
}

static void put(JsonWriter& json, const BudgetInput& input) {
  JsonObject object(json);
  object("input", radiometry::name_of(input.kind));
  object("of", input.of);
  object("value", input.value);
  object("unit", unless_empty(input.unit));
  object("u", input.u);
  object("distribution", diagnosis::name_of(input.distribution));
  object("sensitivity", input.sensitivity);
  object("contribution_c", input.u_k);
  object("share", input.share);
}

void put(JsonWriter& json, const diagnosis::MonteCarlo& sampled) {
  JsonObject object(json);
  object("trials", sampled.trials);
  object("stable", sampled.is_stable);
  object("outside_share", sampled.outside_share);
  object("temperature", sampled.temperature_c);
  object("rise_over_like", sampled.over_like);
  object("rise_over_air", sampled.over_air);
}

void put(JsonWriter& json, const Budget& budget) {
  JsonObject object(json);
  object("quantity", budget.quantity);
  object("value_c", budget.value);
  object("u_c", budget.u);
  object("inputs", budget.inputs);
}

}  // namespace ohmglow::records
