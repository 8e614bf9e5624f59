#pragma once
// Who this node's owner is, and the keys of this device. Kept inside the vault; never leaves it.

#include "protocol/circle/bodies.hpp"
#include "protocol/crypto/paper_key.hpp"
#include "store/event_log/event_log.hpp"

namespace ladderline::store {

struct Identity {
    protocol::SignKeys member;
    protocol::SignKeys device;
    protocol::DhKeys noise;
    protocol::DhKeys box;
    protocol::DeviceCertificate certificate;

    protocol::MemberId id() const { return certificate.member; }
    protocol::DeviceId device_id() const { return certificate.device; }
    OwnDevice own_device() const { return {device_id(), device.secret.clone()}; }
};

// The member's identity from the paper seed, which is stored beside it so that it can be printed again, and fresh keys
// for this device. Within the caller's transaction.
Result<Identity> create_identity(sqlite::Database& db, std::string device_label, const protocol::PaperSeed& paper,
                                 Random& random);
// The same with a fresh seed.
Result<Identity> create_identity(sqlite::Database& db, std::string device_label, Random& random);
// not_found before create_identity; damaged if the keys do not fit one another.
Result<Identity> load_identity(sqlite::Database& db);

// None in a store that was made before there were paper keys.
Result<std::optional<protocol::PaperSeed>> stored_paper_seed(sqlite::Database& db);
Result<void> store_paper_seed(sqlite::Database& db, const protocol::PaperSeed& paper);
// True if that paper gives this member; false for a seed drawn after the identity was.
bool gives_identity(const protocol::PaperSeed& paper, const Identity& identity);

}  // namespace ladderline::store
