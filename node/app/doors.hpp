#pragma once
// The ways into the store: shown, changed, renewed.

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"

namespace ladderline::node {

// On a store that this process holds; it is closed afterwards. `unlock`: how it was opened.
// Errors: as the store's parts say; whatever fails, at least one way still opens.
Result<cli::Answer> at_the_doors(const cli::KeyRequest& request, std::unique_ptr<OpenHome> home, const Unlock& unlock,
                                 Env& env);

// Which ways there are, what they cost, since when; also from inside a running node.
Result<cli::Answer> show_doors(OpenHome& home);

// Keeps the day on which a way in was made, for show_doors.
Result<void> note_door(store::sqlite::Database& db, store::vault::SlotType type, Day day);

}  // namespace ladderline::node
