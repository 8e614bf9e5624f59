#pragma once
// Bodies of control events, and the certificate that binds a device to a member.

#include <string>
#include <vector>

#include "protocol/event/event.hpp"

namespace ladderline::protocol {

enum class CircleKind : std::uint8_t { desk = 1, path = 2, club = 3 };
constexpr bool is_known(CircleKind k) {
    return k >= CircleKind::desk && k <= CircleKind::club;
}

enum class MemberRole : std::uint8_t { newcomer = 1, mentor = 2, guardian = 3, second_adult = 4, officer = 5 };
constexpr bool is_known(MemberRole r) {
    return r >= MemberRole::newcomer && r <= MemberRole::officer;
}

// Skill levels: 0 none, 1 seen, 2 with help, 3 alone, 4 taught it.
inline constexpr std::uint8_t level_max = 4;

// Signed by the member's identity key and by the device's own key: nobody can claim a device that is another's.
// The two X25519 keys serve one use each: connections, and sealed boxes.
struct DeviceCertificate {
    MemberId member;
    DeviceId device;
    DhPublic noise;
    DhPublic box;
    std::string label;
    Signature by_member;
    Signature by_device;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(member, device, noise, box, codec::bounded<limits::name_bytes_max>(label), by_member, by_device);
    }
    bool operator==(const DeviceCertificate&) const = default;
};

DeviceCertificate certify(const SignKeys& identity, const SignKeys& device, const DhPublic& noise, const DhPublic& box,
                          std::string label);
bool is_genuine(const DeviceCertificate& certificate);

// First event of a circle. The founder is its first member, in `role`.
struct FoundBody {
    CircleKind circle_kind = CircleKind::desk;
    std::string name;
    MemberRole role = MemberRole::newcomer;
    std::uint8_t level = 0;
    std::string founder_name;
    bool founder_is_minor = false;
    DeviceCertificate device;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(circle_kind, codec::bounded<limits::name_bytes_max>(name), role, level,
           codec::bounded<limits::name_bytes_max>(founder_name), founder_is_minor, device);
    }
};

struct AdmitBody {
    MemberId member;
    MemberRole role = MemberRole::newcomer;
    std::uint8_t level = 0;  // highest skill level this member may sign, as the admitting side attests it
    std::string name;
    bool is_minor = false;
    std::vector<DeviceCertificate> devices;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(member, role, level, codec::bounded<limits::name_bytes_max>(name), is_minor,
           codec::bounded<limits::list_max>(devices));
    }
};

struct CertifyBody {
    DeviceCertificate device;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(device);
    }
};

struct SetRoleBody {
    MemberId member;
    MemberRole role = MemberRole::newcomer;
    std::uint8_t level = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(member, role, level);
    }
};

// The last event of a log that still counts; a log of the member that is not named counts for nothing.
struct Cut {
    LogId log;
    std::uint64_t seq = 0;
    EventId event;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(log, seq, event);
    }
    bool operator==(const Cut&) const = default;
};

struct RemoveBody {
    MemberId member;
    std::string reason;
    std::vector<Cut> cuts;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(member, codec::bounded<limits::line_bytes_max>(reason), codec::bounded<limits::list_max>(cuts));
    }
};

// The author's own going: what counts of their logs is what they name. Needs nobody's leave.
struct LeaveBody {
    std::vector<Cut> cuts;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::list_max>(cuts));
    }
};

// One device of a member is lost or given up; a log of it that is not named counts for nothing.
struct RevokeBody {
    DeviceId device;
    std::string reason;
    std::vector<Cut> cuts;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(device, codec::bounded<limits::line_bytes_max>(reason), codec::bounded<limits::list_max>(cuts));
    }
};

// What somebody who is gone (or a device that is) had honestly said unseen: the logs named count further.
struct ExtendCutBody {
    MemberId member;
    std::vector<Cut> cuts;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(member, codec::bounded<limits::list_max>(cuts));
    }
};

// Who gets an epoch key. `household`: on a minor's path the newcomer, guardians and second adults alone.
enum class Readers : std::uint8_t { everyone = 1, household = 2 };
constexpr bool is_known(Readers r) {
    return r >= Readers::everyone && r <= Readers::household;
}

// An older epoch key, sealed under the new one (epochs.hpp: seal_link). 48 bytes.
struct KeyLink {
    KeyId key;
    Bytes sealed;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(key, codec::bounded<AeadKey::size + aead_tag_bytes>(sealed));
    }
    bool operator==(const KeyLink&) const = default;
};

// A new epoch key. This event is the first that is sealed under it.
struct RotateBody {
    KeyId key;
    std::vector<KeyId> parents;  // keys of the epochs that this one follows
    Readers readers = Readers::everyone;
    MembersDigest members;       // of all who get it, as the author's past has them
    WrapRoot wraps;              // over the copies wrapped for them
    std::vector<KeyLink> links;  // to the parents; without one, history under it stays closed to newcomers

    template <class Archive>
    void serialize(Archive& ar) {
        ar(key, codec::bounded<limits::control_heads_max>(parents), readers, members, wraps,
           codec::bounded<limits::control_heads_max>(links));
    }
};

// A guardian's word about a minor's path. Says dates and compares none: whoever gives out a key looks at the calendar.
struct ConsentBody {
    Day given;
    Day keep_until;          // the last day it is good for
    bool withdrawn = false;  // from `given` on there is no consent

    template <class Archive>
    void serialize(Archive& ar) {
        ar(given, keep_until, withdrawn);
    }
    bool operator==(const ConsentBody&) const = default;
};

// The public half of the author's paper key for sealed boxes: each epoch key is wrapped for it too.
struct PaperBoxBody {
    DhPublic box;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(box);
    }
};

// Asks everybody not to show, print or export what the author said: in each log named, up to that event. Logs of others
// are left alone; what decides who belongs to the circle stays.
struct TakeBackBody {
    std::vector<Cut> up_to;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::list_max>(up_to));
    }
};

}  // namespace ladderline::protocol
