#pragma once
/// What makes a result one that can be recomputed a year later: manifest.json with the hash of
/// every input and output and the options of the run, and the comparison of all of it with what is
/// there now.

#include "offered/diagnosis/verification.h"
#include "offered/files/folder.h"
#include "offered/files/output_file.h"
#include "offered/intake/acceptance_limits.h"
#include "offered/intake/policy_text.h"
#include "ohmglow/diagnosis.h"
#include "ohmglow/result.h"
#include "ohmglow/survey.h"

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::records {

/// What the last digits of a computed number may depend on, besides the program's version.
struct Arithmetic {
  std::string compiler;
  std::string processor;  ///< architecture, and whether it fuses multiply and add
  std::string c_library;
  std::string opencv;
  friend bool operator==(const Arithmetic&, const Arithmetic&) = default;
};
[[nodiscard]] Arithmetic this_arithmetic();
/// How far numbers may lie apart, relative to the larger, where version and arithmetic are not the
/// same: the last digits of another mathematics library. Nothing where they are.
inline constexpr double kOtherArithmeticTolerance = 1e-9;

/// The options that decide what comes out. The number of threads does not.
struct RunOptions {
  diagnosis::Options judging;
  std::uint64_t max_pixels = 0;
  std::vector<std::string> formats;
  std::string paper = "a4";      ///< of the PDF: "a4" or "letter"
  std::string detail = "brief";  ///< of the PDF: "brief" or "full"
  // Who reads the reports; findings.json and ranked.csv do not depend on it.
  std::string language = "en";
  std::string units = "c";        ///< "c" or "f"
  std::string decimal = "point";  ///< "point" or "comma"
};

/// What verify writes in place of findings.json.
inline constexpr std::string_view kVerificationJson = "verification.json";

/// What a result of verify is made from beside the survey after the repair, which is the
/// manifest's.
struct VerifyRun {
  std::string survey_folder;  ///< before the repair
  std::string survey_from_output;
  diagnosis::VerifyOptions options;
  std::vector<FileRecord> inputs;
};

/// What accept writes in place of findings.json.
inline constexpr std::string_view kAcceptanceJson = "acceptance.json";

/// What a result of accept is made from beside the survey.
struct AcceptRun {
  acceptance::Request request;
  LimitsText limits;
};

struct Manifest {
  std::string tool_version;
  Arithmetic arithmetic;
  std::string survey_folder;       ///< as it was given; findings.json shows it
  std::string survey_from_output;  ///< the way from the output folder to the survey
  std::string site;                ///< helps a person to find the survey again
  RunOptions options;
  PolicyText policy;
  std::string findings_sha256;      ///< of findings.json, be it among the outputs or not
  std::optional<VerifyRun> verify;  ///< a result of verify: verification.json is its findings.json
  std::optional<AcceptRun> accept;  ///< a result of accept: acceptance.json likewise
  std::vector<FileRecord> inputs;
  std::vector<FileRecord> outputs;

  /// The file that findings_sha256 is of.
  [[nodiscard]] std::string_view json_file() const;
};

/// The files of a survey that a run takes in, sorted by path; each is hashed when it is asked for.
struct Inputs {
  std::size_t count = 0;
  /// Nothing for what is not there, is no file, or lies outside by a link.
  std::function<std::optional<FileRecord>(std::size_t number)> record;
};

/// docs/schema/manifest.schema.json. Same manifest, same text.
[[nodiscard]] std::string manifest_json(const Manifest& manifest);
/// The same piece by piece, with inputs that are hashed one after the other. Errors: the sink's.
[[nodiscard]] Result<void> write_manifest(const Manifest& manifest, const Inputs& inputs,
                                          const Sink& sink);

/// Reads OUT/manifest.json. Errors: no such file; not JSON, or not to the schema; paths that leave
/// their folder; a file named twice. `text` receives the file's bytes, for its signature.
[[nodiscard]] Result<Manifest> read_manifest(const std::filesystem::path& output,
                                             std::string* text = nullptr);

class KeptResults;
/// Every file of the survey folder that a run takes in: survey.json, the tables, the mark files,
/// all files with an image's ending that are neither hidden nor in a folder of results, and what
/// the tables name (images, photographs, the spectral response, a policy file). Tables, marks,
/// images and policy are recorded as they were read; one that was not there then is not listed.
[[nodiscard]] Inputs inputs_of(const KeptResults& results, const PolicyText& policy);
/// The same of a folder that nothing was read of, as its files are now.
[[nodiscard]] Inputs inputs_of(const std::filesystem::path& survey, const PolicyText& policy);

/// A file of the output folder from its content.
[[nodiscard]] FileRecord record_of(std::string_view name, std::string_view content);

// --- recheck -----------------------------------------------------------------------------------

enum class FileState { same, changed, missing, added };
[[nodiscard]] std::string_view name_of(FileState state);

/// What stands behind a file beside its hash.
enum class Recomputed {
  no,         ///< nothing: the hash alone was compared
  equal,      ///< made again from the inputs, and the same
  different,  ///< made again, and not the same
};
[[nodiscard]] std::string_view name_of(Recomputed recomputed);

struct FileCheck {
  std::string path;
  FileState state = FileState::same;
  std::string recorded_sha256;  ///< empty where it was not there or not readable
  std::string sha256;
  Recomputed recomputed = Recomputed::no;
  std::string note;  ///< why it was not made again, or what is not the same; empty: nothing to say
};

/// Inputs as recorded beside those of the survey folder now; sorted by path.
[[nodiscard]] std::vector<FileCheck> check_inputs(const std::filesystem::path& survey,
                                                  const std::vector<FileRecord>& recorded,
                                                  const std::vector<FileRecord>& now);
/// Outputs as recorded beside the folder now. `names` are those that the program ever writes: one
/// that is there without being recorded is `added`.
[[nodiscard]] std::vector<FileCheck> check_outputs(const std::filesystem::path& output,
                                                   const std::vector<FileRecord>& recorded,
                                                   const std::vector<std::string>& names);

/// A value that is not what the inputs give.
struct ValueDifference {
  std::string pointer;     ///< JSON pointer (RFC 6901) into the recorded findings.json, or, for a
                           ///< value that only the recomputed one holds, into that
  std::string where;       ///< for people: "findings, BE-01, terminal box, T2: temperature_c"
  std::string recorded;    ///< as JSON; empty: not there
  std::string recomputed;  ///< likewise
};

struct ValueCheck {
  bool is_done = false;
  std::string not_done;  ///< why, where it could not be
  double tolerance = 0;  ///< relative
  std::size_t compared = 0;
  std::size_t different = 0;
  std::vector<ValueDifference> differences;  ///< the first kMostDifferences of them
  std::string recorded_version;  ///< of the program, as the file tells it; empty: as recomputed
};
inline constexpr std::size_t kMostDifferences = 10'000;

/// findings.json as recorded beside the recomputed one, value by value. Images, lugs, components,
/// motors and findings are paired by what they are, not by where they stand. The program's version
/// is not compared. Errors: a recorded text that is no JSON.
[[nodiscard]] Result<ValueCheck> compare_findings(std::string_view recorded,
                                                  std::string_view recomputed, double tolerance);

/// What compare_findings says of a findings.json beside a text of the same bytes, which is read
/// piece by piece. Errors: a file that cannot be read or is no JSON.
[[nodiscard]] Result<ValueCheck> check_of_same_findings(const std::filesystem::path& findings);

/// Whether anybody signed, and whether that was checked.
struct SignatureCheck {
  bool is_there = false;
  bool is_asked = false;
  bool is_good = false;
  std::string message;  ///< one sentence
};

/// How a recheck ends.
enum class Ending {
  equal,          ///< every output was made again, and is equal
  other_version,  ///< the same, by a program of another version than the one that is recorded
  only_hashed,    ///< nothing differs, and some outputs could not be made again
  different,      ///< something is not the same
};
[[nodiscard]] std::string_view name_of(Ending ending);

struct Recheck {
  Manifest manifest;
  std::string survey_folder;  ///< where the survey was found
  bool same_program = false;  ///< version and arithmetic are those of the manifest
  std::string checked_by;     ///< the version that rechecks
  std::string output_folder;
  std::vector<FileCheck> inputs_before;  ///< of a result of verify: of the survey before the repair
  SignatureCheck signature;
  std::vector<FileCheck> inputs;
  std::vector<FileCheck> outputs;
  ValueCheck values;
  std::vector<std::string> remarks;  ///< whatever else does not agree, one sentence each
  [[nodiscard]] std::size_t differences() const;  ///< of all kinds
  [[nodiscard]] Ending ending() const;
};

/// docs/schema/recheck.schema.json.
[[nodiscard]] std::string recheck_json(const Recheck& recheck);

}  // namespace ohmglow::records
