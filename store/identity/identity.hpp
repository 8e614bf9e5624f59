#pragma once
// Who this node's owner is, and the keys of this device. Kept inside the vault; never leaves it.

#include "protocol/circle/bodies.hpp"
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

// Fresh keys, stored within the caller's transaction.
Result<Identity> create_identity(sqlite::Database& db, std::string device_label, Random& random);
// not_found before create_identity; damaged if the keys do not fit one another.
Result<Identity> load_identity(sqlite::Database& db);

}  // namespace ladderline::store
