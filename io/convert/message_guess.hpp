#pragma once

// Which cell of a table's rows tells one kind of message from another.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// `rows`: cells of the table's rows, without a header. The column that holds a word or a small whole number of which
/// the rest of the row depends: how many cells it has, which of them are empty, or how large its numbers are. nullopt:
/// all rows are of one kind.
std::optional<std::size_t> guess_message_column(const std::vector<std::vector<std::string_view>>& rows,
                                                Separator separator);

}  // namespace wainscot
