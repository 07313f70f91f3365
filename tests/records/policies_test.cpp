// The rules under test are those of policy files in docs/survey-folder.md and docs/schema.
#include "survey_folder.h"

using ohmglow::ErrorKind;
using ohmglow::records::parse_policy;
using ohmglow::records::policy_names;
using ohmglow::records::read_policy;
using test::contains;
using test::SurveyFolder;

namespace {

std::string policy(const std::string& bands, const std::string& more = "") {
  return R"({"version":1,"id":"own","title":"Own","source":"plant rule","rule":"as written")" +
         more + R"(,"bands":[)" + bands + "]}";
}

std::string band(const std::string& id, const std::string& limits) {
  return R"({"id":")" + id + R"(","title":"T","action":"look","source":"plant rule")" + limits +
         "}";
}

const std::string kTwoBands =
    band("warm", R"(,"over_like_c":{"from":2},"over_air_c":null)") + "," +
    band("hot", R"(,"over_like_c":{"above":5},"pair_unbalance_pct":{"from":10})");

}  // namespace

TEST_CASE("the built-in policies are listed with the default first, and each can be read") {
  const auto names = policy_names();
  REQUIRE(names.size() >= 2);
  CHECK(names.front() == "neta_mts");
  for (const std::string& name : names) {
    const auto policy = read_policy(name, "nowhere");
    REQUIRE(policy.has_value());
    CHECK(policy->id == name);
    CHECK_FALSE(policy->broken_rule().has_value());
  }
  CHECK(read_policy("", "nowhere")->id == "neta_mts");
}

TEST_CASE("the default policy holds the limits of NETA's table with the upper ends inclusive") {
  // ANSI/NETA MTS Table 100.18: over like 1-3, 4-15, >15 K; over air 1-10, 11-20, 21-40, >40 K.
  const auto policy = read_policy("neta_mts", "nowhere");
  REQUIRE(policy.has_value());
  const auto limit = [&policy](std::string_view id, auto member) {
    return (policy->bands.at(policy->index_of(id).value()).*member).value();
  };
  using ohmglow::severity::Band;
  CHECK(limit("watch", &Band::over_like_k).reached_by(1));
  CHECK_FALSE(limit("plan", &Band::over_like_k).reached_by(3));
  CHECK(limit("plan", &Band::over_like_k).reached_by(3.0001));
  CHECK_FALSE(limit("urgent", &Band::over_like_k).reached_by(15));
  CHECK_FALSE(limit("monitor", &Band::over_air_k).reached_by(20));
  CHECK_FALSE(limit("urgent", &Band::over_air_k).reached_by(40));
  CHECK(limit("urgent", &Band::over_air_k).reached_by(40.0001));
}

TEST_CASE("a built-in policy says from where on a rise over air alone makes a finding") {
  const auto from = [](const std::string& name) -> std::string {
    const auto policy = read_policy(name, "nowhere").value();
    if (!policy.air_alone_from) return "never";
    CHECK_FALSE(policy.air_alone_action.empty());
    return policy.bands.at(*policy.air_alone_from).id;
  };
  CHECK(from("neta_mts") == "monitor");
  CHECK(from("neta_mts_strict") == "watch");
  CHECK(from("mil_std_2194") == "never");
}

TEST_CASE("built-in policies mark what they assume, and the riskier band fails sooner") {
  for (const std::string& name : policy_names()) {
    INFO(name);
    const auto policy = read_policy(name, "nowhere").value();
    CHECK(policy.failure_source == "assumed");
    CHECK(policy.sound_scatter.source == "common practice, no source");
    CHECK(policy.priors.empty());
    double milder = 0;
    for (const auto& band : policy.bands) {
      CHECK(band.failure_probability.value() > milder);
      milder = *band.failure_probability;
    }
  }
}

TEST_CASE("a policy may say what a judgement takes beside the limits") {
  const auto bands =
      band("warm", R"(,"over_air_c":{"from":2},"failure":{"probability_per_year":0.125,"source":
        "own records"})") +
      "," + band("hot", R"(,"over_air_c":{"from":5},"failure":{"probability_per_year":0.5,"source":
        "assumed"})");
  const auto read = parse_policy(
      policy(bands, R"(,"judgement":{"confidence":0.99,"sound_scatter":{"share_of_rise":0.1,
        "least_c":0.5,"source":"route of 2025"}},"over_air_alone":{"from":"hot","action":"vent"},
        "priors":{"source":"own repairs","lug_joint":0.25,"winding":0.125})"),
      "own.json");
  if (!read) FAIL(sentence_with_place(read.error()));
  CHECK(read->confidence == 0.99);
  CHECK(read->sound_scatter == ohmglow::severity::SoundScatter{.share_of_rise = 0.1,
                                                               .least_k = 0.5,
                                                               .source = "route of 2025"});
  CHECK(read->air_alone_from == 1);
  CHECK(read->air_alone_action == "vent");
  CHECK(read->bands[0].failure_probability == 0.125);
  CHECK(read->failure_source == "own records; assumed");
  CHECK(read->priors == std::map<std::string, double>{{"lug_joint", 0.25}, {"winding", 0.125}});
  CHECK(read->priors_source == "own repairs");
}

TEST_CASE("a policy that says none of it takes the program's own values") {
  const auto read = parse_policy(policy(kTwoBands), "own.json");
  REQUIRE(read);
  CHECK(read->confidence == 0.95);
  CHECK(read->sound_scatter == ohmglow::severity::SoundScatter{});
  CHECK_FALSE(read->air_alone_from.has_value());
  CHECK_FALSE(read->bands[0].failure_probability.has_value());
  CHECK(read->failure_source.empty());
  CHECK(read->priors.empty());
}

TEST_CASE("limits begin at a value or above it") {
  const auto read = parse_policy(policy(kTwoBands), "own.json");
  if (!read) FAIL(sentence_with_place(read.error()));
  REQUIRE(read->bands.size() == 2);
  CHECK(read->bands[0].over_like_k->inclusive);
  CHECK(read->bands[0].over_like_k->value == 2);
  CHECK_FALSE(read->bands[0].over_air_k.has_value());
  CHECK_FALSE(read->bands[1].over_like_k->inclusive);
  CHECK(read->bands[1].pair_unbalance_pct->value == 10);
  CHECK(read->rule == "as written");
  CHECK(read->bands[1].action == "look");
}

TEST_CASE("a policy is read from a file of the survey, then from a path") {
  const SurveyFolder survey("policy_survey");
  test::write(survey.path() / "own.json", policy(kTwoBands));
  const test::fs::path elsewhere = test::output("elsewhere/other.json");
  test::write(elsewhere, policy(kTwoBands));
  CHECK(read_policy("own.json", survey.path())->id == "own");
  CHECK(read_policy(elsewhere.string(), survey.path())->id == "own");
  const auto unknown = read_policy("nowhere.json", survey.path());
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().kind == ErrorKind::missing);
  CHECK(contains(unknown.error().expected, "neta_mts"));
}

TEST_CASE("a survey may bring its own policy") {
  const auto survey = SurveyFolder("policy_of_survey")
                          .with("survey.json", R"({"policy":"own.json"})")
                          .with("own.json", policy(kTwoBands))
                          .survey();
  CHECK(survey.policy == "own.json");
}

TEST_CASE("a broken policy names its file and member") {
  const std::vector<std::pair<std::string, std::string>> broken{
      {policy(""), "bands"},
      {policy(kTwoBands, R"(,"colour":"red")"), "colour"},
      {policy(kTwoBands, R"(,"id":"again")"), "id"},
      {policy(band("warm", R"(,"over_like_c":3)")), "bands[0].over_like_c"},
      {policy(band("warm", R"(,"over_like_c":{})")), "bands[0].over_like_c"},
      {policy(band("warm", R"(,"over_like_c":{"from":1,"above":1})")), "bands[0].over_like_c"},
      {policy(band("warm", R"(,"over_like_c":{"below":1})")), "bands[0].over_like_c.below"},
      {policy(band("warm", R"(,"over_like_c":{"from":-1})")), "bands[0].over_like_c.from"},
      {policy(band("warm", R"(,"over_like_k":{"from":1})")), "bands[0].over_like_k"},
      {policy(R"({"id":"warm","title":"T","source":"s"})"), "bands[0].action"},
      {R"({"id":"own","title":"T","source":"s","rule":"r","bands":[]})", "bands"},
      {policy(band("warm", R"(,"over_like_c":{"from":1},"failure":{"probability_per_year":0.1})")),
       "bands[0].failure.source"},
      {policy(band("warm", R"(,"failure":{"probability_per_year":0,"source":"s"})")),
       "bands[0].failure.probability_per_year"},
      {policy(kTwoBands, R"(,"judgement":{"confidence":1})"), "judgement.confidence"},
      {policy(kTwoBands, R"(,"judgement":{"confidence":0.4})"), "judgement.confidence"},
      {policy(kTwoBands, R"(,"judgement":{"sound_scatter":{"least_c":0.3,"source":"s"}})"),
       "judgement.sound_scatter.share_of_rise"},
      {policy(kTwoBands, R"(,"judgement":{"sound_scatter":{"share_of_rise":2,"least_c":0.3,
       "source":"s"}})"),
       "judgement.sound_scatter.share_of_rise"},
      {policy(kTwoBands, R"(,"over_air_alone":{"from":"warm"})"), "over_air_alone.action"},
      {policy(kTwoBands, R"(,"over_air_alone":{"from":"tepid","action":"vent"})"),
       "over_air_alone.from"},
      {policy(kTwoBands, R"(,"priors":{"lug_joint":0.1})"), "priors.source"},
      {policy(kTwoBands, R"(,"priors":{"source":"s","lug_joint":0})"), "priors.lug_joint"},
      {policy(kTwoBands, R"(,"priors":{"source":"s","lug_joint":1.5})"), "priors.lug_joint"},
      {policy(kTwoBands, R"(,"priors":[0.1])"), "priors"},
      {R"({"version":2,"id":"own"})", "version"},
  };
  for (const auto& [json, member] : broken) {
    INFO(json);
    const auto read = parse_policy(json, "own.json");
    REQUIRE_FALSE(read);
    CHECK(read.error().place.file == "own.json");
    CHECK(read.error().place.column == member);
  }
}

TEST_CASE("a band that a rise over air begins at must be one of the policy") {
  const auto read = parse_policy(
      policy(kTwoBands, R"(,"over_air_alone":{"from":"tepid","action":"vent"})"), "own.json");
  REQUIRE_FALSE(read);
  CHECK(contains(read.error().found, "tepid"));
  CHECK(contains(read.error().expected, "warm, hot"));
}

TEST_CASE("a policy whose bands repeat or do not rise is refused") {
  const auto repeated = band("warm", R"(,"over_like_c":{"from":1})") + "," +
                        band("warm", R"(,"over_like_c":{"from":2})");
  const auto falling =
      band("a", R"(,"over_like_c":{"from":5})") + "," + band("b", R"(,"over_like_c":{"from":2})");
  for (const std::string& bands : {repeated, falling}) {
    const auto read = parse_policy(policy(bands), "own.json");
    REQUIRE_FALSE(read);
    CHECK(read.error().place.file == "own.json");
  }
}
