#pragma once
// Key files: 32 random bytes in a file that its owner alone can read, for a node that starts unattended.

#include <filesystem>

#include "protocol/crypto/secret.hpp"

namespace ladderline::node {

inline constexpr std::size_t key_file_bytes = 32;

// refused: others may read it, or it belongs to somebody else; bad_input: no such file, or none of ours.
Result<protocol::SecretBytes> read_key_file(const std::filesystem::path& path);

// A new one, mode 0600, on the disk when this returns. refused: there is a file already, it would lie inside
// `store_folder` (who copies the folder would have both), or others could read or replace it there. Nothing is left
// behind by a refusal.
Result<protocol::SecretBytes> make_key_file(const std::filesystem::path& path,
                                            const std::filesystem::path& store_folder, Random& random);

}  // namespace ladderline::node
