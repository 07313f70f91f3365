#pragma once
/// What a maintenance system takes in: one order a bad connection, with an id that stays the same
/// from survey to survey and a date by which to act.

#include "offered/intake/policy_text.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"

#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// UUID (RFC 9562, version 5) of a connection: the same motor, component and phase give the same id
/// in every survey. The name that is hashed is the JSON array [motor, component, phase], phase 1,
/// 2, 3 or null, in the namespace kWorkOrderNamespace.
[[nodiscard]] std::string work_order_id(std::string_view motor, std::string_view component,
                                        std::optional<Phase> phase);
inline constexpr std::string_view kWorkOrderNamespace = "6f1de9d2-5c0c-4b0a-9a5e-1c7c2d1f8a43";

struct WorkOrder {
  std::string id;
  /// Its findings in Assessment::findings, the most urgent first; what is not listed here is the
  /// first one's.
  std::vector<std::size_t> findings;
  std::optional<Phase> phase;
  int priority = 0;  ///< as RFC 5545 counts: 1 the highest, for the policy's most severe band, to 9
  std::chrono::sys_days found_on;
  std::optional<std::chrono::sys_days> due;
  std::optional<DueRule> rule;
  std::string summary;  ///< one line for people
};

/// One order for each case, by rank; none where the lugs are even.
[[nodiscard]] std::vector<WorkOrder> work_orders(const diagnosis::Assessment& assessment,
                                                 const std::vector<DueRule>& rules);

/// workorders.json (docs/schema/workorders.schema.json).
[[nodiscard]] std::string work_orders_json(const diagnosis::Assessment& assessment,
                                           const std::vector<WorkOrder>& orders);
/// workorders.csv, safe to open in a spreadsheet.
[[nodiscard]] std::string work_orders_csv(const diagnosis::Assessment& assessment,
                                          const std::vector<WorkOrder>& orders);
/// workorders.ics: a task (VTODO) for each order (RFC 5545). Stamped with the day of the options,
/// so that the same run gives the same bytes.
[[nodiscard]] std::string work_orders_ics(const diagnosis::Assessment& assessment,
                                          const std::vector<WorkOrder>& orders);

}  // namespace ohmglow::records
