#pragma once
/// A changed table is read as the survey reads it before it takes the old one's place.

#include "offered/editing/survey_edits.h"
#include "records/editing/file_state.h"
#include "records/editing/table_draft.h"

#include <cstddef>
#include <functional>
#include <optional>
#include <string_view>
#include <vector>

namespace ohmglow::records {

inline constexpr std::string_view kNothingSaved = "nothing was saved";

/// An error as the reason why nothing was saved: `conflict` is kept for files that were changed
/// meanwhile.
[[nodiscard]] Error refusal(Error error);
/// A reader's complaint, likewise.
[[nodiscard]] Error refusal(const Problem& problem);

/// Reads a table as the survey does; what it says is in the problems.
using Reader = std::function<Problems(const Sheet&)>;

/// What is done to a table.
struct Change {
  std::optional<long> erased;         ///< the number of a row that goes
  std::optional<std::size_t> stands;  ///< the row that is changed or added
};

/// What a reader complains of that it did not complain of before. Rows below an erased one have
/// moved up.
[[nodiscard]] Problems new_complaints(const Problems& before, const Problems& after,
                                      std::optional<long> erased = {});

/// The draft read back and written, if the reader has nothing new to say.
[[nodiscard]] Result<Saved> commit(const FileSnapshot& file, const TableDraft& draft,
                                   const Change& change, const Reader& reader);

/// Sets cells by name. Errors: a column that neither the table nor the reader knows.
[[nodiscard]] Result<void> set_cells(TableDraft& draft, std::size_t row,
                                     const std::vector<CellText>& cells,
                                     const std::vector<std::string_view>& known);

}  // namespace ohmglow::records
