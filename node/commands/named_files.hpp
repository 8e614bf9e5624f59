#pragma once
// Files that somebody names for a command. A node that runs does the work of commands, so nothing in such a file is
// waited for, and none is too large; and a slip of the keyboard must not cost anybody a file of something else.

#include <filesystem>
#include <string>
#include <string_view>

#include "node/commands/context.hpp"

namespace ladderline::node {

// As much as a form of the pages takes.
inline constexpr std::size_t named_file_bytes_max = 9U << 20;

// A whole plain file. not_found; bad_input if it is larger than named_file_bytes_max, or no plain file; disk.
Result<std::string> read_named_file(const std::filesystem::path& file);

// Written whole or not at all, for its owner alone to read. What is there is replaced only if it is empty or begins
// with the same first line, as an earlier one of the same kind does. refused: it is something else, and stays; disk.
Result<void> write_named_file(const std::filesystem::path& file, std::string_view text);
// The same with a page to print (printed_page), and what to do with it.
Result<Done> write_page(const std::filesystem::path& file, std::string_view page);

}  // namespace ladderline::node
