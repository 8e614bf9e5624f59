#pragma once
// Everything brought back on an empty machine, from the paper key and one peer.

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"

namespace ladderline::node {

// A new store with a fresh passphrase, this person's identity and keys of a new device; or the one that an earlier,
// interrupted attempt (or an earlier peer) left, opened with its passphrase. refused: it is somebody else's.
Result<std::unique_ptr<OpenHome>> recovery_home(const std::filesystem::path& folder, ByteView passphrase,
                                                const protocol::PaperSeed& paper, Env& env);

// Asks the peer, takes in what it gives, certifies this device, and sees the peer hold that too. `tell` gets a line now
// and then. network: the peer went away; what has come is kept, and the same call goes on from there. cancelled: by
// SIGINT or SIGTERM, likewise.
Result<Done> recover(OpenHome& home, Env& env, const cli::RecoverOptions& options,
                     const std::function<void(const std::string&)>& tell);

}  // namespace ladderline::node
