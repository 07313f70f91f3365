#pragma once
/// The one way in which a command fills the folder of -o.

#include "offered/files/output_file.h"
#include "offered/results/manifest.h"
#include "ohmglow/result.h"

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace ohmglow::cli {

/// Errors: the folder cannot be made.
[[nodiscard]] Result<void> make_output_folder(const std::string& folder);

/// Whether results may go into a folder: it is not there yet, or holds an earlier result or its
/// beginnings, or neither files of these names nor files of the survey. Errors: conflict.
[[nodiscard]] Result<void> expect_room_for_results(const std::string& folder,
                                                   const std::string& survey,
                                                   const std::vector<std::string>& names);

/// The files of a result, written piece by piece one after the other, and put in place together
/// once all of them are there: a run that ends before leaves the earlier result as it was.
class Outputs {
 public:
  /// An empty folder name: nothing is written, what would have been is only hashed.
  explicit Outputs(std::string folder) : folder_(std::move(folder)) {}
  /// What is written goes to the end of a text in memory, which must outlive this; of several files
  /// only the one that is named.
  [[nodiscard]] static Outputs into(std::string& text, std::string only = "") {
    Outputs outputs("");
    outputs.text_ = &text;
    outputs.only_ = std::move(only);
    return outputs;
  }

  using Content = std::function<Result<void>(const records::Sink&)>;
  /// `name` may lie in a subfolder, which is made. Errors: those of the content; a file that cannot
  /// be written.
  [[nodiscard]] Result<void> write(const std::string& name, const Content& content);
  [[nodiscard]] Result<void> write(const std::string& name, std::string_view content);

  /// Those that were written, by their names, in the order of writing.
  [[nodiscard]] const std::vector<FileRecord>& files() const { return files_; }

  /// The files of a subfolder that an earlier run wrote and this one does not go when this one's
  /// are put in place, and the subfolder with the last of them. `is_ours` tells them from a user's
  /// by their names.
  void replaces(std::string_view subfolder, bool (*is_ours)(std::string_view)) {
    if (!folder_.empty()) earlier_.push_back({std::string(subfolder), is_ours});
  }

  /// At the end, with a line on stderr for each file of the folder itself. Errors: a file that
  /// cannot be put in place, an earlier one that cannot be removed.
  [[nodiscard]] Result<void> put_in_place();
  /// The same without a word.
  [[nodiscard]] Result<void> put_in_place_quietly();

  /// From now on nothing more is written, with an error, as soon as `is_given_up` says so.
  void ends_when(std::function<bool()> is_given_up) { is_given_up_ = std::move(is_given_up); }

 private:
  struct Earlier {
    std::string subfolder;
    bool (*is_ours)(std::string_view) = nullptr;
  };
  [[nodiscard]] Result<void> place_files();
  [[nodiscard]] Result<void> remove_earlier() const;

  std::string folder_;
  std::function<bool()> is_given_up_;
  std::string* text_ = nullptr;
  std::string only_;
  std::vector<records::OutputFile> sealed_;
  std::vector<Earlier> earlier_;
  std::vector<FileRecord> files_;
};

/// The files of a subfolder that are called so, by their names from the folder, sorted.
[[nodiscard]] std::vector<std::string> files_of(const std::string& folder,
                                                std::string_view subfolder,
                                                bool (*is_ours)(std::string_view));

}  // namespace ohmglow::cli
