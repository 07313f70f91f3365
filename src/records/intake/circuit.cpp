#include "offered/electrical/conductors.h"
#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"

#include <set>
#include <utility>

namespace ohmglow::records {
namespace {

struct CircuitRow {
  CircuitStop place;
  std::optional<double> order;
};

template <class Member>
auto of_place(Member CircuitStop::*member) {
  return within(&CircuitRow::place, member);
}

const std::vector<Column<CircuitRow>>& circuit_columns() {
  using Row = CircuitRow;
  static const std::vector<Column<Row>> columns{
      text<Row>("motor", of_place(&CircuitStop::motor), Need::required),
      text<Row>("place", of_place(&CircuitStop::place), Need::required),
      number<Row>("order", kAnyNumber, "", &Row::order, Need::required),
      text<Row>("size", of_place(&CircuitStop::size)),
      number<Row>("length_m", kAboveZero, "m", of_place(&CircuitStop::length_m)),
      choice<Row>("material",
                  Words<ConductorMaterial>{{"copper", ConductorMaterial::copper},
                                           {"cu", ConductorMaterial::copper},
                                           {"aluminium", ConductorMaterial::aluminium},
                                           {"aluminum", ConductorMaterial::aluminium},
                                           {"al", ConductorMaterial::aluminium}},
                  of_place(&CircuitStop::material)),
      text<Row>("area", of_place(&CircuitStop::area)),
      text<Row>("lockout", of_place(&CircuitStop::lockout)),
      number<Row>("torque_nm", kAboveZero, "N m", of_place(&CircuitStop::torque_nm)),
      text<Row>("parts", of_place(&CircuitStop::parts)),
      text<Row>("not_inspected", of_place(&CircuitStop::not_inspected)),
  };
  return columns;
}

std::optional<Error> bad_cable(const CircuitStop& place) {
  if (place.size.empty() && !place.length_m) return std::nullopt;
  if (place.size.empty() || !place.length_m) {
    return cell_error(place.size.empty() ? "size" : "length_m",
                      "the cable is given by half: size and length_m go together", "",
                      "both, or neither", ErrorKind::missing);
  }
  const auto resistance = electrical::conductor_resistance(
      place.size, place.material, *place.length_m, electrical::kIec60228At);
  if (resistance) return std::nullopt;
  return cell_error("size", resistance.error().what, place.size, resistance.error().expected);
}

/// A motor's places and orders, each once.
class Once {
 public:
  std::optional<Error> repeated(const CircuitStop& place) {
    if (!places_.emplace(place.motor, lower_case(place.place)).second) {
      return cell_error("place", "this motor has a row for this place already", place.place,
                        "one row a place", ErrorKind::conflict);
    }
    if (!orders_.emplace(place.motor, place.order).second) {
      return cell_error("order", "this motor has a place of this order already", place.place,
                        "each order once a motor", ErrorKind::conflict);
    }
    return std::nullopt;
  }

 private:
  std::set<std::pair<std::string, std::string>> places_;
  std::set<std::pair<std::string, double>> orders_;
};

}  // namespace

void read_circuit(const std::filesystem::path& folder, Survey& survey) {
  const auto sheet = Sheet::take_in(folder, kCircuitFile, survey);
  if (!sheet) return;
  Once once;
  for (auto& [row, line, extra] : read_rows(*sheet, circuit_columns(), survey.problems)) {
    row.place.order = row.order.value_or(0);
    auto error = bad_cable(row.place);
    if (!error) error = once.repeated(row.place);
    if (error) {
      report(survey.problems, *error, sheet->file(), line);
      continue;
    }
    row.place.row = line;
    row.place.extra = std::move(extra);
    survey.circuit.push_back(std::move(row.place));
  }
}

}  // namespace ohmglow::records
