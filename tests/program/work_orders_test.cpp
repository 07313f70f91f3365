// Work orders as other programs read them: python3-icalendar, Python's csv and uuid modules.

#include "run_program.h"

#include <catch2/catch.hpp>
#include <set>
#include <sstream>

using nlohmann::json;
namespace fs = std::filesystem;
using namespace program_test;

namespace {

fs::path orders_of(const fs::path& survey, const std::string& name,
                   const std::string& options = "") {
  const fs::path out = fresh_folder("workorders-" + name);
  const Outcome made = run("assess '" + survey.string() + "' -o '" + out.string() +
                           "' --format json,workorders --as-of 2026-03-20 " + options);
  INFO(made.err);
  REQUIRE(made.exit_code <= 1);
  return out;
}

std::vector<json> tasks_of(const fs::path& out) {
  const Outcome read = shell(std::string(OHMGLOW_PYTHON) +
                             " -B '" OHMGLOW_SOURCE_DIR "/tests/program/check_calendar.py' '" +
                             (out / "workorders.ics").string() + "'");
  INFO(read.err);
  REQUIRE(read.exit_code == 0);
  std::vector<json> tasks;
  std::istringstream lines(read.out);
  for (std::string line; std::getline(lines, line);) tasks.push_back(json::parse(line));
  return tasks;
}

Outcome python(const std::string& code, const fs::path& folder) {
  write(folder / "check.py", code);
  return shell(std::string(OHMGLOW_PYTHON) + " -B check.py", folder);
}

}  // namespace

TEST_CASE("each case is one order, in all three files alike") {
  const fs::path out = orders_of(demo_survey(), "demo");
  CHECK(check_schema("workorders.schema.json", out / "workorders.json").exit_code == 0);
  const json findings = json_of(out / "findings.json")["findings"];
  const json orders = json_of(out / "workorders.json")["orders"];
  std::set<std::string> cases;
  std::set<int> to_order;
  for (const json& f : findings) {
    if (f["verdict"] == "even") continue;  // nothing to mend
    cases.insert(f["case_id"].get<std::string>());
    to_order.insert(f["rank"].get<int>());
  }
  CHECK(orders.size() == cases.size());
  std::set<int> ranks;
  for (const json& order : orders) {
    for (const json& rank : order["ranks"]) ranks.insert(rank.get<int>());
    CHECK(order["temperature_c"] ==
          findings[order["ranks"][0].get<std::size_t>() - 1]["temperature_c"]);
  }
  CHECK(ranks == to_order);

  const auto tasks = tasks_of(out);
  REQUIRE(tasks.size() == orders.size());
  for (std::size_t i = 0; i < tasks.size(); ++i) {
    CHECK(tasks[i]["uid"] == orders[i]["id"]);
    CHECK(tasks[i]["due"] == orders[i]["due"]);
    CHECK(tasks[i]["summary"] == orders[i]["summary"]);
    CHECK(tasks[i]["priority"] == orders[i]["priority"]);
    CHECK(tasks[i]["stamp"] == "2026-03-20T00:00:00+00:00");
    CHECK(tasks[i]["location"] == "Bexley Creek grain terminal");
    // The cautions travel along.
    CHECK(tasks[i]["description"].get<std::string>().find(
              orders[i]["cautions"][0].get<std::string>()) != std::string::npos);
  }
  // The demo was surveyed on 2026-03-04; urgent is due after one day by the default policy.
  CHECK(orders[0]["band"] == "urgent");
  CHECK(orders[0]["priority"] == 1);
  CHECK(orders[0]["due"] == "2026-03-05");

  const Outcome table = python(
      "import csv, json\n"
      "rows = list(csv.DictReader(open('workorders.csv', newline='', encoding='utf-8')))\n"
      "orders = json.load(open('workorders.json'))['orders']\n"
      "assert len(rows) == len(orders)\n"
      "for row, order in zip(rows, orders):\n"
      "    assert list(row) == list(order), (list(row), list(order))\n"
      "    for name in ('id', 'due', 'motor', 'summary', 'action'):\n"
      "        assert row[name] == (order[name] or ''), name\n"
      "    if order['rise_over_like_k'] is not None:\n"
      "        assert abs(float(row['rise_over_like_k']) - order['rise_over_like_k']) < 1e-6\n",
      out);
  INFO(table.err);
  CHECK(table.exit_code == 0);
}

TEST_CASE("ids are those of Python's uuid module, and the same in the next survey") {
  const fs::path out = orders_of(demo_survey(), "ids");
  const Outcome uuids = python(
      "import json, uuid\n"
      "document = json.load(open('workorders.json'))\n"
      "space = uuid.UUID(document['namespace'])\n"
      "for o in document['orders']:\n"
      "    name = json.dumps([o['motor'], o['component'] or '', o['phase']],\n"
      "                      separators=(',', ':'), ensure_ascii=False)\n"
      "    assert o['id'] == str(uuid.uuid5(space, name)), name\n",
      out);
  INFO(uuids.err);
  CHECK(uuids.exit_code == 0);

  const fs::path later = fresh_folder("workorders-later-survey");
  REQUIRE(run("demo --after '" + later.string() + "'").exit_code == 0);
  std::map<std::string, std::string> before;
  const json orders = json_of(out / "workorders.json")["orders"];
  for (const json& o : orders)
    before[json{o["motor"], o["component"], o["phase"]}.dump()] = o["id"];
  int seen_again = 0;
  const json of_later = json_of(orders_of(later, "later") / "workorders.json")["orders"];
  for (const json& o : of_later) {
    const auto at = before.find(json{o["motor"], o["component"], o["phase"]}.dump());
    if (at == before.end()) continue;
    CHECK(at->second == o["id"]);
    ++seen_again;
  }
  CHECK(seen_again >= 2);
}

TEST_CASE("the same run gives the same bytes, and a recheck of work orders is equal") {
  const fs::path one = orders_of(demo_survey(), "one");
  const fs::path two = orders_of(demo_survey(), "two", "--jobs 1");
  for (const char* file : {"workorders.csv", "workorders.json", "workorders.ics"})
    CHECK(text_of(one / file) == text_of(two / file));
  CHECK(run("recheck '" + one.string() + "'").exit_code == 0);
}

TEST_CASE("names that mean something to a spreadsheet or a calendar stay names") {
  const fs::path root = fresh_folder("workorders-hostile");
  // Not "\\," in one: python3-icalendar 4.0.3 takes the escapes off twice.
  const std::string hostile =
      "=HYPERLINK(1);x\\é, 電動機 of a very long name that has to be folded somewhere between its "
      "characters é電動機";
  write(root / "s/motors.csv", "motor,description\n\"" + hostile + "\",\"+1\"\"2\"\n");
  write(root / "s/readings.csv", "motor,test,value_1,value_2,value_3,unit,taken_at\n\"" + hostile +
                                     "\",winding_resistance,1.5,1.5,1,ohm,2026-03-19\n");
  const fs::path out = orders_of(root / "s", "hostile-out");
  const auto tasks = tasks_of(out);
  REQUIRE(tasks.size() == 1);
  CHECK(tasks[0]["summary"].get<std::string>().find(hostile) == 0);
  CHECK(tasks[0]["location"] == "");
  const Outcome cells = python(
      "import csv\n"
      "for row in csv.reader(open('workorders.csv', newline='', encoding='utf-8')):\n"
      "    for cell in row:\n"
      "        assert not cell or cell[0] not in '=+-@\\t\\r' or float(cell) is not None, cell\n",
      out);
  INFO(cells.err);
  CHECK(cells.exit_code == 0);
}

TEST_CASE("a policy sets the days, or none") {
  const fs::path root = fresh_folder("workorders-policy");
  json policy = json_of(OHMGLOW_SOURCE_DIR "/src/severity/policies/neta_mts.json");
  for (json& band : policy["bands"]) {
    band["due"] = {{"days", 7}, {"source", "plant rule 12"}};
    if (band["id"] == "urgent") band["due"] = nullptr;
  }
  write(root / "plant.json", policy.dump());
  const fs::path out =
      orders_of(demo_survey(), "policy-out", "--policy '" + (root / "plant.json").string() + "'");
  bool with_rule = false;
  const json orders = json_of(out / "workorders.json")["orders"];
  for (const json& order : orders) {
    if (order["band"] == "urgent") {
      CHECK(order["due"].is_null());
      continue;
    }
    with_rule = true;
    CHECK(order["due_days"] == 7);
    CHECK(order["due_source"] == "plant rule 12");
  }
  CHECK(with_rule);
  tasks_of(out);
  policy["bands"][0]["due"] = {{"days", -1}, {"source", ""}};
  write(root / "bad.json", policy.dump());
  const Outcome refused = run("assess '" + demo_survey().string() + "' --policy '" +
                              (root / "bad.json").string() + "'");
  CHECK(refused.exit_code == 3);
  CHECK(refused.err.find("bands[0].due.days") != std::string::npos);
}
