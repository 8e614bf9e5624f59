#pragma once
// Which devices this node shares circles with, and where they were last reached.

#include "protocol/circle/bodies.hpp"
#include "store/sqlite/database.hpp"

namespace ladderline::store {

// The circle was joined through that device, for the first time or again, and that has not been synced yet. Until it
// has, the device counts as one of its members, beside others that said so. `device` is zero where only the key is
// known.
Result<void> remember_welcome(sqlite::Database& db, const protocol::CircleId& circle, const protocol::DeviceId& device,
                              const protocol::DhPublic& noise);

// A device of that member in the circle, whose certificate has not come here yet. It counts as one as long as it has
// not and the member is not removed. One a member and circle: a later one takes the place.
Result<void> remember_returning(sqlite::Database& db, const protocol::CircleId& circle,
                                const protocol::MemberId& member, const protocol::DeviceId& device,
                                const protocol::DhPublic& noise);

// Circles of which both this node's owner and the owner of the device with that key are present members; also those
// that the owner has left by themself: whoever has not heard of it yet still has to.
Result<std::vector<protocol::CircleId>> circles_with(sqlite::Database& db, const protocol::MemberId& me,
                                                     const protocol::DhPublic& noise);

// That member was in the circle and somebody removed them, as far as is known here.
Result<bool> is_removed(sqlite::Database& db, const protocol::CircleId& circle, const protocol::MemberId& member);

struct PeerDevice {
    protocol::DeviceId device;
    protocol::DhPublic noise;
    std::string address;  // host:port
};
// Devices of present members of shared circles whose address is known, this device excepted.
Result<std::vector<PeerDevice>> reachable_peers(sqlite::Database& db, const protocol::MemberId& me,
                                                const protocol::DeviceId& own);
Result<void> remember_address(sqlite::Database& db, const protocol::DeviceId& device, std::string_view address);

// How far a call to a device came, in the order in which a call goes. Numbers are stored.
enum class ReachStep : std::uint8_t {
    none = 0,     // not tried, or the address makes no sense
    address = 1,  // the address means a machine
    answer = 2,   // a program there takes the call
    proof = 3,    // it is that device, and it takes this one for a member's
    talk = 4,     // both compare what they hold
    same = 5,     // both hold the same
};

// A call that ended, or is as far as that now.
struct Reached {
    ReachStep step = ReachStep::none;
    WallTime at;
    std::string note;  // why it came no further; empty while it goes on
};

struct PeerNote {
    protocol::DeviceId device;
    std::string address;
    std::optional<WallTime> last_ok;    // it proved to be that device
    std::optional<WallTime> last_same;  // both held the same
    std::optional<Reached> last;
};
// Of a device whose address is kept; others are let go.
Result<void> note_peer(sqlite::Database& db, const protocol::DeviceId& device, const Reached& reached);
Result<std::vector<PeerNote>> peer_notes(sqlite::Database& db);

// What came from a device and this machine's own store did not take. Kept in memory, because the disk that would have
// to keep it is the one that refuses; it ends with the connection to the database.
struct Unkept {
    std::optional<protocol::DeviceId> device;  // none: no circle names it yet
    Reached reached;                           // how far that was, when, and what the store said
};
Result<void> note_unkept(sqlite::Database& db, const protocol::DhPublic& noise, const Reached& reached);
// The store has taken everything since.
Result<void> end_unkept(sqlite::Database& db, const protocol::DhPublic& noise);
Result<std::vector<Unkept>> all_unkept(sqlite::Database& db);

}  // namespace ladderline::store
