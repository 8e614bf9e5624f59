#pragma once
// What members say: bodies of content events. One struct a kind; the number is in kinds.hpp.
// Texts are what a person wrote; ids of ladder items are texts such as "09.06".

#include <string>
#include <vector>

#include "protocol/event/event.hpp"

namespace ladderline::protocol {

using codec::bounded;

// Weekly availability in the person's own zone; end <= start runs past midnight.
struct WeeklyWindow {
    std::uint8_t weekday = 0;        // 1 Monday .. 7 Sunday
    std::uint16_t start_minute = 0;  // 0..1439, local
    std::uint16_t end_minute = 0;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(weekday, start_minute, end_minute);
    }
};

// A member's own card, shown to the whole circle. A register: the newest one stands.
struct CardBody {
    std::string name;
    std::string call_sign;      // empty if none, or not shared
    std::string locator;        // at most four characters
    std::string zone;           // IANA name
    std::string licence_class;  // one letter, empty if unknown
    std::uint8_t room = 0;      // newcomers this mentor has places for, in all
    std::vector<std::string> topics;
    std::vector<std::string> bands;
    std::vector<WeeklyWindow> windows;
    bool resting = false;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(name), bounded<limits::call_bytes_max>(call_sign),
           bounded<limits::call_bytes_max>(locator), bounded<limits::name_bytes_max>(zone),
           bounded<limits::call_bytes_max>(licence_class), room, bounded<limits::list_max>(topics),
           bounded<limits::list_max>(bands), bounded<limits::list_max>(windows), resting);
    }
};

// The twelve fields that a club holds about a consenting newcomer. The person is the event's author.
struct ClubRowBody {
    std::string name;
    std::string call_sign;
    std::string stage;               // stage number, "09"
    std::optional<Day> stage_since;  // goes with `stage`
    std::optional<Day> last_milestone;
    std::optional<Day> last_contact;
    std::optional<Day> last_touch;
    std::optional<MemberId> mentor;
    std::string help_topic;         // empty: no help wanted
    std::optional<Day> help_since;  // goes with `help_topic`
    bool resting = false;
    bool is_minor = false;
    Day consent_until;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(name), bounded<limits::call_bytes_max>(call_sign),
           bounded<limits::call_bytes_max>(stage), stage_since, last_milestone, last_contact, last_touch, mentor,
           bounded<limits::line_bytes_max>(help_topic), help_since, resting, is_minor, consent_until);
    }
};

enum class PairingStep : std::uint8_t { proposed = 1, agreed = 2, declined = 3, ended = 4 };
constexpr bool is_known(PairingStep s) {
    return s >= PairingStep::proposed && s <= PairingStep::ended;
}

struct PairingBody {
    MemberId newcomer;
    MemberId mentor;
    PairingStep step = PairingStep::proposed;
    Day day;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(newcomer, mentor, step, day);
    }
};

struct AssignBody {
    std::vector<std::string> items;
    std::string edition;  // name of the edition that the ids belong to

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::items_max>(items), bounded<limits::name_bytes_max>(edition));
    }
};

struct TickBody {
    std::string item;
    Day day;
    std::string evidence;
    bool undone = false;  // takes the author's own tick back

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::call_bytes_max>(item), day, bounded<limits::line_bytes_max>(evidence), undone);
    }
};

struct SignBody {
    std::string item;
    std::uint8_t level = 0;  // 2..4 for a skill, 0 otherwise
    Day day;
    std::string witnessed;  // what the signer saw or heard, in words

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::call_bytes_max>(item), level, day, bounded<limits::line_bytes_max>(witnessed));
    }
};

struct WithdrawBody {
    EventId signature;  // the sign event taken back
    std::string item;   // of that signature
    std::string reason;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(signature, bounded<limits::call_bytes_max>(item), bounded<limits::line_bytes_max>(reason));
    }
};

enum class Aside : std::uint8_t { skip = 1, rest = 2, reopen = 3 };
constexpr bool is_known(Aside a) {
    return a >= Aside::skip && a <= Aside::reopen;
}

// Skipping, resting or re-opening an item. That the whole way rests is said by the card.
struct SetAsideBody {
    std::string item;
    Aside what = Aside::skip;
    Day day;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::call_bytes_max>(item), what, day);
    }
};

// An arranged contact; known afterwards by the event's id.
struct MeetBody {
    WallTime start;
    MemberId other;               // with whom
    std::string first_frequency;  // MHz as written, "146.520"
    std::string second_frequency;
    std::string mode;
    std::string fallback;  // how to reach one another if nothing is heard
    std::string words;     // what to say first and last

    template <class Archive>
    void serialize(Archive& ar) {
        ar(start, other, bounded<limits::call_bytes_max>(first_frequency),
           bounded<limits::call_bytes_max>(second_frequency), bounded<limits::call_bytes_max>(mode),
           bounded<limits::line_bytes_max>(fallback), bounded<limits::line_bytes_max>(words));
    }
};

enum class MeetOutcome : std::uint8_t { made = 1, nobody_heard = 2, moved = 3 };
constexpr bool is_known(MeetOutcome o) {
    return o >= MeetOutcome::made && o <= MeetOutcome::moved;
}

struct MeetOutcomeBody {
    EventId meeting;
    MeetOutcome outcome = MeetOutcome::made;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(meeting, outcome);
    }
};

struct ContactBody {
    WallTime start;
    std::string worked;       // the other station's call sign
    std::string station;      // call sign sent on the air
    std::string operated_by;  // call sign of the control operator where it is not one's own; empty otherwise
    std::string frequency;    // MHz as written; empty if only the band is known
    std::string band;
    std::string mode;
    std::string sent;
    std::string received;
    std::string locator;
    std::string comment;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(start, bounded<limits::call_bytes_max>(worked), bounded<limits::call_bytes_max>(station),
           bounded<limits::call_bytes_max>(operated_by), bounded<limits::call_bytes_max>(frequency),
           bounded<limits::call_bytes_max>(band), bounded<limits::call_bytes_max>(mode),
           bounded<limits::call_bytes_max>(sent), bounded<limits::call_bytes_max>(received),
           bounded<limits::call_bytes_max>(locator), bounded<limits::line_bytes_max>(comment));
    }
};

// Another word of the author of a contact about it: it stands in the contact's place. Counts only if the same member
// said both; the last word by hybrid clock is the one that is shown.
struct AmendContactBody {
    EventId contact;
    ContactBody now;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(contact, now);
    }
};

// The author of a contact takes it out of the log. A later amendment brings it back.
struct StrikeContactBody {
    EventId contact;
    std::string reason;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(contact, bounded<limits::line_bytes_max>(reason));
    }
};

struct NoteBody {
    std::string text;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::text_bytes_max>(text));
    }
};

// Needs a hand; an empty topic says that it is settled.
struct AskBody {
    std::string topic;
    Day day;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::line_bytes_max>(topic), day);
    }
};

// The mentor was in touch.
struct TouchBody {
    Day day;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(day);
    }
};

// A date on which clocks run. `text` goes with it where there is one (the call sign granted, the session's place).
enum class DateKind : std::uint8_t {
    exam_booked = 1,
    exam_passed = 2,
    fee_notice = 3,
    fee_paid = 4,
    granted = 5,
    filed = 6,
};
constexpr bool is_known(DateKind k) {
    return k >= DateKind::exam_booked && k <= DateKind::filed;
}

struct KnownDateBody {
    DateKind what = DateKind::exam_booked;
    std::optional<Day> day;  // none: not known after all
    std::string text;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(what, day, bounded<limits::line_bytes_max>(text));
    }
};

enum class Answer : std::uint8_t { right = 1, wrong = 2, dont_know = 3 };
constexpr bool is_known(Answer a) {
    return a >= Answer::right && a <= Answer::dont_know;
}

// Stays on the desk. `shown` is the order in which the choices stood, as digits ("2013").
struct PracticeAnswerBody {
    std::string pool;
    std::string question;
    Answer answer = Answer::right;
    std::string shown;
    std::uint8_t place = 0;  // chosen place 0..3
    WallTime when;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(bounded<limits::name_bytes_max>(pool), bounded<limits::call_bytes_max>(question), answer,
           bounded<limits::call_bytes_max>(shown), place, when);
    }
};

// Decodes a payload that this circle's member wrote; malformed bytes have no effect, whoever sent them.
template <class T>
std::optional<T> read_payload(const Bytes& payload) {
    auto body = codec::decode<T>(payload);
    if (!body) return std::nullopt;
    return std::move(body).value();
}

}  // namespace ladderline::protocol
