#pragma once
// Whether what stands in this store would survive: the spare key, the last copy, the last check.

#include "node/commands/context.hpp"

namespace ladderline::node {

struct StoreState {
    std::filesystem::path home;
    std::string older;  // sentences about a store that went back in time or came back from a copy, until they are read
    std::string paper;  // a sentence while the spare key is not written down; empty afterwards
    std::optional<WallTime> copied;
    std::string copied_to;
    std::optional<WallTime> checked;
    bool is_whole = true;                 // as the last check found
    bool all_looked = true;               // at; else at the events alone
    std::optional<WallTime> all_checked;  // the last time that everything was looked at
    std::string found;                    // by it, in a sentence
    bool opened_by_key_file = false;
    std::size_t people = 0;  // others who hold part of it: their nodes can bring that back

    // Whole days since the last copy.
    std::optional<std::int32_t> copy_days(Day today) const;
};
Result<StoreState> store_state(Context& context);

// What stood in `older` was read.
Result<void> older_read(Context& context);

// A copy was made just now.
Result<void> note_copy(store::sqlite::Database& db, WallTime now, const std::filesystem::path& folder);

}  // namespace ladderline::node
