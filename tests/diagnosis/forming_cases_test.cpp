// Which findings share one cause is a ruling of the project's design.
#include "cases.h"
#include "offered/diagnosis/ranking.h"

#include <catch2/catch.hpp>

using namespace ohmglow;
using namespace ohmglow::test;
using diagnosis::Decision;

namespace {

struct Member {
  int number;
  bool leads;
  std::string id;
  friend bool operator==(const Member&, const Member&) = default;
};
std::ostream& operator<<(std::ostream& out, const Member& member) {
  return out << member.number << (member.leads ? " leads " : " follows ") << member.id;
}

std::vector<Member> members(const Assessment& a) {
  std::vector<Member> list;
  for (const Finding& f : a.findings) list.push_back({f.case_number, f.leads_case, f.case_id});
  return list;
}

const Finding& finding_of(const Assessment& a, const std::string& image) {
  return *std::find_if(a.findings.begin(), a.findings.end(),
                       [&image](const Finding& f) { return f.image == image; });
}

Finding made(Verdict verdict, std::optional<std::size_t> band,
             severity::DecidedBy by = severity::DecidedBy::like) {
  Finding finding;
  finding.verdict = verdict;
  finding.grade = {band, by};
  return finding;
}

}  // namespace

TEST_CASE("a lug seen hot on two images is one case") {
  Case c;
  c.motor("M1");
  c.see(Picture("near.tif", "M1", "box", {62, 42, 42}));
  c.see(Picture("far.tif", "M1", "box", {60, 42, 42}));
  const Assessment a = c.judge();
  CHECK(members(a) == std::vector<Member>{{1, true, "M1/box/1"}, {1, false, "M1/box/1"}});
  REQUIRE(a.findings[0].also.size() == 1);
  CHECK(plainly(a.findings[0].also[0]) == "box, phase 1, lug T1: 18.0 K over like");
}

TEST_CASE("two phases hot in one box are two cases") {
  Case c;
  c.motor("M1");
  c.see(Picture("a.tif", "M1", "box", {62, 60, 42}));
  CHECK(members(c.judge()) == std::vector<Member>{{1, true, "M1/box/1"}, {2, true, "M1/box/2"}});
}

TEST_CASE("what follows the currents is one case of the motor, wherever it shows") {
  Case c;
  c.rated_motor("M1");
  c.see(Picture("box.tif", "M1", "box", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  c.see(Picture("starter.tif", "M1", "starter", {20 + 144, 20 + 100, 20 + 64}).load(96, 80, 64));
  const auto list = members(c.judge());
  REQUIRE(list.size() >= 2);
  for (std::size_t i = 0; i < list.size(); ++i) CHECK(list[i] == Member{1, i == 0, "M1/currents"});
}

TEST_CASE("everything on a motor that runs on two phases comes from the open one") {
  Case c;
  c.rated_motor("M1");
  c.see(Picture("box.tif", "M1", "box", {62, 42, 42}).load(90, 0, 90));
  c.see(Picture("starter.tif", "M1", "starter", {62, 42, 42}));
  const Assessment a = c.judge();
  for (const Member& member : members(a)) CHECK(member.id == "M1/open phase");
  CHECK(a.findings.front().decision == Decision::stop_now);
}

TEST_CASE("two hot joints of a phase before one high reading are one case") {
  Case c;
  c.rated_motor("M1");
  c.see(Picture("box.tif", "M1", "box", {62, 42, 42}).load(90));
  c.see(Picture("starter.tif", "M1", "starter", {64, 42, 42}).load(90));
  c.ohms("M1", pairs_with(Phase::one, 0.0005, 0.0025), "disconnect", "2026-02-11");
  const Assessment a = c.judge();
  REQUIRE(a.findings.size() == 2);
  for (const Finding& f : a.findings) {
    INFO(id_of(f.verdict));
    CHECK((f.verdict == Verdict::confirmed || f.verdict == Verdict::phase_agrees));
  }
  CHECK(a.findings[0].leads_case);
  CHECK_FALSE(a.findings[1].leads_case);
  CHECK(a.findings[0].case_id == a.findings[1].case_id);
}

TEST_CASE("a case keeps its id when the survey is taken again with other findings before it") {
  Case first;
  first.motor("M1");
  first.see(Picture("a.tif", "M1", "box", {62, 42, 42}));
  Case second;
  second.motor("M0");
  second.motor("M1");
  second.see(Picture("z.tif", "M0", "box", {92, 42, 42}));
  second.see(Picture("again.tif", "M1", "box", {47, 42, 42}));
  const Assessment a = first.judge();
  const Assessment b = second.judge();
  CHECK(finding_of(a, "a.tif").case_id == finding_of(b, "again.tif").case_id);
  CHECK(finding_of(a, "a.tif").case_number == 1);
  CHECK(finding_of(b, "again.tif").case_number == 2);
}

TEST_CASE("the band decides what a hot joint asks for, the verdict whether there is one to open") {
  const severity::Policy policy = neta();
  const auto decided = [&policy](const Finding& finding) {
    return diagnosis::decision_of(finding, policy);
  };
  constexpr std::size_t kWatch = 0, kPlan = 1, kMonitor = 2, kUrgent = 3;
  for (const Verdict hot : {Verdict::confirmed, Verdict::phase_agrees, Verdict::phase_conflict,
                            Verdict::heat_only, Verdict::no_reading, Verdict::reading_only}) {
    CHECK(decided(made(hot, kUrgent)) == Decision::stop_now);
    CHECK(decided(made(hot, kMonitor)) == Decision::next_stop);
    CHECK(decided(made(hot, kPlan)) == Decision::next_stop);
    CHECK(decided(made(hot, kWatch)) == Decision::image_again);
  }
  for (const Verdict no_joint : {Verdict::even, Verdict::not_judged, Verdict::unmarked_hot_spot}) {
    CHECK(decided(made(no_joint, kUrgent)) == Decision::image_again);
  }
  for (const Verdict currents : {Verdict::load_unbalance, Verdict::supply_unbalance}) {
    CHECK(decided(made(currents, kUrgent)) == Decision::stop_now);
    CHECK(decided(made(currents, kMonitor)) == Decision::image_again);
  }
  Finding warm = made(Verdict::no_reading, kUrgent, severity::DecidedBy::air);
  warm.warm_alike = true;
  CHECK(decided(warm) == Decision::image_again);
  warm.grade.by = severity::DecidedBy::limit;
  CHECK(decided(warm) == Decision::next_stop);
  CHECK(decided(made(Verdict::open_phase, kUrgent)) == Decision::stop_now);
}
