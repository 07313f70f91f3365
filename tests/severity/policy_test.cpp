#include "../python.h"
#include "ohmglow/severity.h"

#include <catch2/catch.hpp>
#include <limits>
#include <string>
#include <vector>

using namespace ohmglow;
using namespace ohmglow::severity;

namespace {

Band band(const std::string& id, std::optional<Limit> like, std::optional<Limit> air = {}) {
  Band result;
  result.id = id;
  result.over_like_k = like;
  result.over_air_k = air;
  return result;
}

Policy policy(std::vector<Band> bands) {
  Policy result;
  result.bands = std::move(bands);
  return result;
}

std::string complaint(const Policy& broken) {
  const auto error = broken.broken_rule();
  REQUIRE(error);
  CHECK(error->kind == ErrorKind::invalid_value);
  CHECK_FALSE(error->mend.empty());
  return sentence(*error);
}

}  // namespace

TEST_CASE("the shipped policy files are well formed and complete") {
  // Python's json module, with repeated members refused.
  const std::vector<std::string> words = words_from_python("policies", R"py(
import json, pathlib
def once(pairs):
    names = [name for name, _ in pairs]
    assert len(names) == len(set(names)), names
    return dict(pairs)
files = sorted(pathlib.Path(r')py" OHMGLOW_SOURCE_DIR R"py(/src/severity/policies').glob('*.json'))
for file in files:
    policy = json.loads(file.read_text(encoding='utf-8'), object_pairs_hook=once)
    assert set(policy) - {'over_air_alone'} == {
        'version', 'id', 'title', 'source', 'rule', 'bands', 'judgement', 'failure_cost'}, file
    scatter = policy['judgement']['sound_scatter']
    assert set(policy['judgement']) == {'confidence', 'sound_scatter'}
    assert set(scatter) == {'share_of_rise', 'least_c', 'source'} and scatter['source'].strip()
    has_air = any(band['over_air_c'] for band in policy['bands'])
    assert has_air == ('over_air_alone' in policy), file
    if has_air:
        alone = policy['over_air_alone']
        assert alone['action'].strip()
        assert alone['from'] in [band['id'] for band in policy['bands'] if band['over_air_c']]
    failures = [band['failure']['probability_per_year'] for band in policy['bands']]
    assert failures == sorted(set(failures)) and 0 < failures[0] and failures[-1] <= 1
    assert all(band['failure']['source'].strip() for band in policy['bands'])
    assert policy['version'] == 1 and policy['id'] == file.stem
    assert all(policy[name].strip() for name in ('title', 'source', 'rule'))
    columns = ('over_like_c', 'over_air_c', 'pair_unbalance_pct')
    last = dict.fromkeys(columns, float('-inf'))
    for band in policy['bands']:
        assert set(band) == {'id', 'title', 'action', 'source', 'due', 'failure', *columns}, band
        assert band['due']['days'] > 0 and band['due']['source'].strip()
        assert all(band[name].strip() for name in ('id', 'title', 'action', 'source'))
        for column in columns:
            if band[column] is not None:
                (kind, value), = band[column].items()
                assert kind in ('from', 'above') and value > last[column]
                last[column] = value
    assert len({band['id'] for band in policy['bands']}) == len(policy['bands'])
    print(policy['id'])
)py");
  CHECK(words == std::vector<std::string>{"mil_std_2194", "neta_mts", "neta_mts_strict"});
}

TEST_CASE("the strict reading is the same table, in which every row over air makes a finding") {
  const std::vector<std::string> words = words_from_python("strict", R"py(
import json, pathlib
folder = pathlib.Path(r')py" OHMGLOW_SOURCE_DIR R"py(/src/severity/policies')
usual, strict = (json.loads((folder / name).read_text(encoding='utf-8'))
                 for name in ('neta_mts.json', 'neta_mts_strict.json'))
assert all(usual[name] == strict[name] for name in ('source', 'bands', 'judgement'))
assert all(usual[name] != strict[name] for name in ('title', 'rule'))
print(usual['over_air_alone']['from'], strict['over_air_alone']['from'])
)py");
  CHECK(words == std::vector<std::string>{"monitor", "watch"});
}

TEST_CASE("a policy says which of its rules is broken") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(complaint(policy({})).find("no bands") != std::string::npos);
  CHECK(complaint(policy({band("a", Limit{1}), band("", Limit{2})})).find("band 2") !=
        std::string::npos);
  CHECK(complaint(policy({band("none", Limit{1})})).find("stands for no band") !=
        std::string::npos);
  CHECK(
      complaint(policy({band("a", Limit{1}), band("a", Limit{2})})).find("same id: found \"a\"") !=
      std::string::npos);
  CHECK(complaint(policy({band("a", Limit{3}), band("b", Limit{2})}))
            .find("the over_like_c limit of band b does not rise: found \"2.00\"") !=
        std::string::npos);
  CHECK(complaint(policy({band("a", Limit{3}), band("b", Limit{3})})).find("does not rise") !=
        std::string::npos);
  // Also across a band that has no limit in the column.
  CHECK(complaint(policy({band("a", Limit{3}, Limit{1}), band("b", {}, Limit{2}),
                          band("c", Limit{1}, Limit{3})}))
            .find("over_like_c limit of band c") != std::string::npos);
  CHECK(complaint(policy({band("a", {}, Limit{nan})})).find("over_air_c limit of band a is not") !=
        std::string::npos);
  CHECK(complaint(policy({band("a", {}), band("b", {})})).find("has a limit") != std::string::npos);
}

TEST_CASE("a policy with gaps in its columns is sound") {
  CHECK_FALSE(policy({band("a", Limit{1}), band("b", {}, Limit{2, false}), band("c", Limit{3})})
                  .broken_rule());
  Band by_reading = band("a", {});
  by_reading.pair_unbalance_pct = Limit{1, false};
  CHECK_FALSE(policy({by_reading}).broken_rule());
}
