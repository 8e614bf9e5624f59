#pragma once
// backup, restore, check, mend: what a person does with a store as a whole.

#include "node/app/control.hpp"
#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"
#include "store/upkeep/progress.hpp"

namespace ladderline::node {

// Into that folder. Errors: store/upkeep/backup.hpp.
Result<cli::Answer> back_up_home(OpenHome& home, Env& env, const std::filesystem::path& folder,
                                 const store::Progress& progress);
// Into the folder of a store that is not there yet.
Result<cli::Answer> restore_home(const std::filesystem::path& backup, const std::filesystem::path& folder,
                                 const Unlock& unlock, Env& env, const store::Progress& progress);
// Of the closed store in that folder.
Result<cli::Answer> mend_home(const std::filesystem::path& folder, const Unlock& unlock, Env& env,
                              const store::Progress& progress);
// Pages, tables, indexes and chains; or what the last check found. Exit code 6 and the same words if it is damaged.
ControlAnswer check_home(OpenHome& home, Env& env, const cli::CheckOptions& options, bool json,
                         const store::Progress& progress);

}  // namespace ladderline::node
