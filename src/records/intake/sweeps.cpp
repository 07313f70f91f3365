#include "records/files/files.h"
#include "records/intake/sheet.h"
#include "records/intake/tables.h"
#include "records/intake/written_units.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>
#include <utility>

namespace ohmglow::records {
namespace {

/// Two turns and an overlap, to either side of the mark.
constexpr Range kAngles{.low = -1080, .high = 1080};
/// Below this no harmonic can be told from scatter (house rule).
constexpr std::size_t kLeastAngles = 8;
/// The level of current sets the iron's; a source's own wander is less (house rule).
constexpr double kSameSetting = 0.05;
/// Of a turn nothing is known between two angles that are farther apart (house rule).
constexpr double kWidestStep_deg = 90;
constexpr double kTurn_deg = 360;

struct SweepRow {
  SweepReading reading;
  std::optional<double> angle_deg;
  PerPair<std::optional<double>> values;
};

template <class Member>
auto of_sweep(Member SweepReading::*member) {
  return within(&SweepRow::reading, member);
}

auto pair_value(std::size_t index) {
  return [index](SweepRow& row) -> std::optional<double>& { return row.values.at(index); };
}

constexpr std::array<WrittenUnit, 3> kInductanceUnits{
    {{.name = "mh", .per = 1e3}, {"h"}, {.name = "uh", .per = 1e6}}};

const std::vector<Column<SweepRow>>& sweep_columns() {
  using Row = SweepRow;
  static const std::vector<Column<Row>> columns{
      text<Row>("motor", of_sweep(&SweepReading::motor), Need::required),
      moment<Row>("taken_at", of_sweep(&SweepReading::taken_at)),
      text<Row>("sweep", of_sweep(&SweepReading::sweep)),
      number<Row>("angle_deg", kAngles, "degrees", &Row::angle_deg, Need::required),
      number<Row>("value_1", kAboveZero, "", pair_value(0), Need::required),
      number<Row>("value_2", kAboveZero, "", pair_value(1), Need::required),
      number<Row>("value_3", kAboveZero, "", pair_value(2), Need::required),
      text<Row>("unit", of_sweep(&SweepReading::unit_as_written), Need::required),
      number<Row>("frequency_hz", kAboveZero, "Hz", of_sweep(&SweepReading::frequency_hz)),
      number<Row>("current_a", kAboveZero, "A", of_sweep(&SweepReading::current_a)),
      number<Row>("gap_share", kShareAboveZero, "", of_sweep(&SweepReading::gap_share)),
      number<Row>("shaft_return", kShare, "", of_sweep(&SweepReading::shaft_return)),
      choice<Row>("anisotropy_excluded", Words<bool>{{"yes", true}, {"no", false}},
                  of_sweep(&SweepReading::anisotropy_excluded)),
      text<Row>("note", of_sweep(&SweepReading::note)),
  };
  return columns;
}

/// A row that can be used alone; what is wrong with it otherwise.
std::optional<Error> convert(SweepRow& row) {
  const WrittenUnit* unit = unit_named(kInductanceUnits, row.reading.unit_as_written);
  if (unit == nullptr)
    return no_such_unit(kInductanceUnits, row.reading.unit_as_written, "inductance");
  row.reading.angle_deg = row.angle_deg.value_or(0);
  for (std::size_t i = 0; i < row.values.size(); ++i) {
    row.reading.inductance.at(i) = Henry{unit->in_base(row.values.at(i).value_or(0))};
  }
  return std::nullopt;
}

void name_sweep(SweepReading& reading, const std::optional<Moment>& surveyed_on) {
  if (!reading.sweep.empty()) return;
  const std::optional<Moment>& at = reading.taken_at ? reading.taken_at : surveyed_on;
  constexpr std::size_t kDay = std::string_view("2026-03-04").size();
  reading.sweep = at ? at->text.substr(0, kDay) : "sweep";
}

/// The readings of one sweep, in file order.
using OneSweep = std::vector<SweepReading>;

/// Says once of a sweep what is wrong with some of its rows, which are left out.
class Complaints {
 public:
  Complaints(const Sheet& sheet, Problems& problems) : sheet_(sheet), problems_(problems) {}

  template <class IsWrong>
  void leave_out(OneSweep& sweep, const IsWrong& is_wrong) {
    std::optional<Error> error;
    std::optional<long> row;
    std::size_t times = 0;
    std::erase_if(sweep, [&](const SweepReading& reading) {
      std::optional<Error> its = is_wrong(reading);
      if (!its) return false;
      ++times;
      if (!error) {
        error = std::move(its);
        row = reading.row;
      }
      return true;
    });
    if (!error) return;
    if (times > 1) error->what += fmt::format(" (so it is in {} rows of this sweep)", times);
    report(problems_, std::move(*error), sheet_.file(), row);
  }

  void leave_out_whole(OneSweep& sweep, Error error) {
    error.mend += "; the sweep is left out until then";
    report(problems_, std::move(error), sheet_.file(), sweep.front().row);
    sweep.clear();
  }

 private:
  const Sheet& sheet_;
  Problems& problems_;
};

/// What most rows have; of two that are as frequent the one that comes first.
template <class Value>
const Value* most_frequent(const std::vector<std::pair<Value, std::size_t>>& counts) {
  const auto at = std::max_element(counts.begin(), counts.end(), [](const auto& a, const auto& b) {
    return a.second < b.second;
  });
  return at == counts.end() ? nullptr : &at->first;
}

template <class Value, class IsSame>
void count(std::vector<std::pair<Value, std::size_t>>& counts, const Value& value,
           const IsSame& is_same) {
  for (auto& [known, times] : counts) {
    if (!is_same(known, value)) continue;
    ++times;
    return;
  }
  counts.emplace_back(value, 1);
}

/// One unit a sweep: half of it in another is a slip, not a choice.
void hold_to_one_unit(OneSweep& sweep, Complaints& complaints) {
  std::vector<std::pair<std::string, std::size_t>> counts;
  for (const SweepReading& reading : sweep) {
    count(counts, lower_case(reading.unit_as_written), std::equal_to<>());
  }
  const std::string* usual = most_frequent(counts);
  if (usual == nullptr || counts.size() == 1) return;
  complaints.leave_out(sweep, [&](const SweepReading& reading) -> std::optional<Error> {
    if (lower_case(reading.unit_as_written) == *usual) return std::nullopt;
    return cell_error(
        "unit", "the sweep mixes units", reading.unit_as_written,
        fmt::format("\"{}\", as most rows of sweep \"{}\" have it", *usual, shown(reading.sweep)),
        ErrorKind::conflict);
  });
}

/// Current and frequency must not change on the way.
template <class Quantity>
void hold_steady(OneSweep& sweep, std::optional<Quantity> SweepReading::*setting,
                 std::string_view column, std::string_view unit, Complaints& complaints) {
  const auto is_same = [](double a, double b) {
    return !exceeds(std::abs(a - b), kSameSetting * std::max(a, b));
  };
  std::vector<std::pair<double, std::size_t>> counts;
  for (const SweepReading& reading : sweep) {
    if (reading.*setting) count(counts, (reading.*setting)->value(), is_same);
  }
  if (counts.size() < 2) return;
  const double usual = *most_frequent(counts);
  complaints.leave_out(sweep, [&](const SweepReading& reading) -> std::optional<Error> {
    if (!(reading.*setting) || is_same((reading.*setting)->value(), usual)) return std::nullopt;
    return cell_error(column, "this changed on the way through the sweep",
                      fmt::format("{}", (reading.*setting)->value()),
                      fmt::format("within 5 % of the {} {} of most rows: take the sweep at one "
                                  "current and one frequency",
                                  usual, unit),
                      ErrorKind::conflict);
  });
}

/// What is known of the machine is the same in every row that says it.
template <class Value>
void hold_to_one(OneSweep& sweep, std::optional<Value> SweepReading::*member,
                 std::string_view column, Complaints& complaints) {
  std::optional<Value> first;
  complaints.leave_out(sweep, [&](const SweepReading& reading) -> std::optional<Error> {
    if (!(reading.*member)) return std::nullopt;
    if (!first) first = reading.*member;
    if (*(reading.*member) == *first) return std::nullopt;
    return cell_error(column, "the rows of this sweep disagree",
                      fmt::format("{}", *(reading.*member)),
                      fmt::format("{}, as the sweep's first row has it, or an empty cell", *first),
                      ErrorKind::conflict);
  });
}

void hold_to_one_of_each_angle(OneSweep& sweep, Complaints& complaints) {
  std::map<double, std::optional<long>> seen;
  complaints.leave_out(sweep, [&](const SweepReading& reading) -> std::optional<Error> {
    const auto [at, is_new] = seen.emplace(reading.angle_deg, reading.row);
    if (is_new) return std::nullopt;
    return cell_error("angle_deg", "this sweep has a row for this angle already",
                      fmt::format("{}", reading.angle_deg),
                      fmt::format("each angle once (it stands in row {}); a second turn goes on "
                                  "past 360",
                                  at->second.value_or(0)),
                      ErrorKind::conflict);
  });
}

/// The widest part of the turn without a reading.
double widest_step(const OneSweep& sweep) {
  std::vector<double> angles;
  for (const SweepReading& reading : sweep) {
    const double turned = std::fmod(reading.angle_deg, kTurn_deg);
    angles.push_back(turned < 0 ? turned + kTurn_deg : turned);
  }
  if (angles.empty()) return kTurn_deg;
  std::sort(angles.begin(), angles.end());
  double widest = angles.front() + kTurn_deg - angles.back();
  for (std::size_t i = 1; i < angles.size(); ++i) {
    widest = std::max(widest, angles[i] - angles[i - 1]);
  }
  return widest;
}

void hold_to_a_turn(OneSweep& sweep, Complaints& complaints) {
  if (sweep.empty()) return;
  const std::string name = shown(sweep.front().sweep);
  if (sweep.size() < kLeastAngles) {
    return complaints.leave_out_whole(
        sweep, {.kind = ErrorKind::missing,
                .what = fmt::format("sweep \"{}\" has too few angles", name),
                .found = fmt::format("{}", sweep.size()),
                .expected = fmt::format("{} or more, best 36 over the whole turn", kLeastAngles),
                .mend = "take the angles that are missing",
                .place = {.column = "angle_deg"}});
  }
  const double widest = widest_step(sweep);
  if (!exceeds(widest, kWidestStep_deg)) return;
  complaints.leave_out_whole(
      sweep, {.kind = ErrorKind::missing,
              .what = fmt::format("sweep \"{}\" leaves out a part of the turn", name),
              .found = fmt::format("{:.0f} degrees without a reading", widest),
              .expected = "a whole turn of the shaft in degrees, with no step over 90 degrees",
              .mend = "take the angles that are missing",
              .place = {.column = "angle_deg"}});
}

void hold_together(OneSweep& sweep, Complaints& complaints) {
  hold_to_one_unit(sweep, complaints);
  hold_steady(sweep, &SweepReading::current_a, "current_a", "A", complaints);
  hold_steady(sweep, &SweepReading::frequency_hz, "frequency_hz", "Hz", complaints);
  hold_to_one(sweep, &SweepReading::gap_share, "gap_share", complaints);
  hold_to_one(sweep, &SweepReading::shaft_return, "shaft_return", complaints);
  hold_to_one(sweep, &SweepReading::anisotropy_excluded, "anisotropy_excluded", complaints);
  hold_to_one_of_each_angle(sweep, complaints);
  hold_to_a_turn(sweep, complaints);
}

}  // namespace

std::vector<std::string_view> sweep_units() {
  std::vector<std::string_view> names;
  for (const WrittenUnit& unit : kInductanceUnits) names.push_back(unit.name);
  return names;
}

std::vector<std::string_view> sweep_column_names() {
  std::vector<std::string_view> names;
  for (const auto& column : sweep_columns()) names.push_back(column.name);
  return names;
}

void read_sweeps(const std::filesystem::path& folder, Survey& survey) {
  if (const auto sheet = Sheet::take_in(folder, kSweepsFile, survey)) read_sweeps(*sheet, survey);
}

void read_sweeps(const Sheet& sheet, Survey& survey) {
  std::vector<OneSweep> sweeps;  // in the order in which they begin
  std::map<std::pair<std::string, std::string>, std::size_t> places;
  for (auto& [row, line, extra] : read_rows(sheet, sweep_columns(), survey.problems)) {
    if (const auto error = convert(row)) {
      report(survey.problems, *error, sheet.file(), line);
      continue;
    }
    row.reading.row = line;
    row.reading.extra = std::move(extra);
    name_sweep(row.reading, survey.surveyed_on);
    const auto [at, is_new] =
        places.try_emplace({row.reading.motor, row.reading.sweep}, sweeps.size());
    if (is_new) sweeps.emplace_back();
    sweeps[at->second].push_back(std::move(row.reading));
  }
  Complaints complaints(sheet, survey.problems);
  for (OneSweep& sweep : sweeps) {
    hold_together(sweep, complaints);
    for (SweepReading& reading : sweep) survey.sweeps.push_back(std::move(reading));
  }
  std::stable_sort(survey.sweeps.begin(), survey.sweeps.end(),
                   [](const SweepReading& a, const SweepReading& b) { return a.row < b.row; });
}

}  // namespace ohmglow::records
