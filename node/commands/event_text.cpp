#include "node/commands/event_text.hpp"

#include <array>

#include "node/commands/plain_text.hpp"
#include "protocol/circle/bodies.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/pairing_bodies.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// The names of the fields of T, in the order in which it serializes them.
template <class T>
struct Names;

#define FIELD_NAMES(type, ...)                                                 \
    template <>                                                                \
    struct Names<type> {                                                       \
        static constexpr auto all = std::to_array<const char*>({__VA_ARGS__}); \
    };

FIELD_NAMES(WeeklyWindow, "weekday", "start_minute", "end_minute")
FIELD_NAMES(CardBody, "name", "call_sign", "locator", "zone", "licence_class", "room", "topics", "bands", "windows",
            "resting")
FIELD_NAMES(ClubRowBody, "name", "call_sign", "stage", "stage_since", "last_milestone", "last_contact", "last_touch",
            "mentor", "help_topic", "help_since", "resting", "is_minor", "consent_until")
FIELD_NAMES(PairingBody, "newcomer", "mentor", "step", "day")
FIELD_NAMES(CheckedBody, "newcomer", "day")
FIELD_NAMES(AssignBody, "items", "edition")
FIELD_NAMES(TickBody, "item", "day", "evidence", "undone")
FIELD_NAMES(SignBody, "item", "level", "day", "witnessed")
FIELD_NAMES(WithdrawBody, "signature", "item", "reason")
FIELD_NAMES(SetAsideBody, "item", "what", "day")
FIELD_NAMES(MeetBody, "start", "other", "first_frequency", "second_frequency", "mode", "fallback", "words")
FIELD_NAMES(MeetOutcomeBody, "meeting", "outcome")
FIELD_NAMES(ContactBody, "start", "worked", "station", "operated_by", "frequency", "band", "mode", "sent", "received",
            "locator", "comment")
FIELD_NAMES(AmendContactBody, "contact", "now")
FIELD_NAMES(StrikeContactBody, "contact", "reason")
FIELD_NAMES(NoteBody, "text")
FIELD_NAMES(AskBody, "topic", "day")
FIELD_NAMES(TouchBody, "day")
FIELD_NAMES(KnownDateBody, "what", "day", "text")
FIELD_NAMES(PracticeAnswerBody, "pool", "question", "answer", "shown", "place", "when")
FIELD_NAMES(MockAnswer, "question", "answer", "shown", "place")
FIELD_NAMES(Foretold, "pass_ppm", "points_hundredths", "points_low", "points_high")
FIELD_NAMES(MockResultBody, "pool", "paper", "when", "minutes", "mark", "foretold", "answers")
FIELD_NAMES(ExplanationBody, "pool", "question", "text")
FIELD_NAMES(StudyShareBody, "pool", "edition", "groups", "weak", "exam_booked", "last_practice")
FIELD_NAMES(ExamTryBody, "element", "day", "undone")
FIELD_NAMES(WorkedOut, "day", "rules", "informed_mm", "anybody_mm")
FIELD_NAMES(StationBody, "name", "antenna", "place", "frequency_hz", "peak_mw", "mode", "on_ms", "off_ms", "loss_mdb",
            "gain_mdb", "reflection_milli", "distance_mm", "height_mm", "worked", "gone")
FIELD_NAMES(KeptApart, "newcomer", "mentor")
FIELD_NAMES(ClearedAdult, "who", "until", "beside")
FIELD_NAMES(FurtherWish, "what", "value")
FIELD_NAMES(PairingWishBody, "languages", "km_max", "remote", "written", "goals", "would_like", "apart", "cleared",
            "further")
FIELD_NAMES(PairingReviewBody, "newcomer", "mentor", "word", "after_days", "day", "next", "thanks")
FIELD_NAMES(DeviceCertificate, "member", "device", "noise", "box", "label", "by_member", "by_device")
FIELD_NAMES(FoundBody, "circle_kind", "name", "role", "level", "founder_name", "founder_is_minor", "device")
FIELD_NAMES(AdmitBody, "member", "role", "level", "name", "is_minor", "devices")
FIELD_NAMES(CertifyBody, "device")
FIELD_NAMES(SetRoleBody, "member", "role", "level")
FIELD_NAMES(Cut, "log", "seq", "event")
FIELD_NAMES(RemoveBody, "member", "reason", "cuts")
FIELD_NAMES(LeaveBody, "cuts")
FIELD_NAMES(RevokeBody, "device", "reason", "cuts")
FIELD_NAMES(ExtendCutBody, "member", "cuts")
FIELD_NAMES(KeyLink, "key", "sealed")
FIELD_NAMES(RotateBody, "key", "parents", "readers", "members", "wraps", "links")
FIELD_NAMES(ConsentBody, "given", "keep_until", "withdrawn")
FIELD_NAMES(PaperBoxBody, "box")
FIELD_NAMES(TakeBackBody, "up_to")
#undef FIELD_NAMES

template <class T>
concept HasNames = requires {
    Names<T>::all;
};

std::string json(bool v) {
    return v ? "true" : "false";
}
std::string json(const std::string& v) {
    return json_text(v);
}
std::string json(const Bytes& v) {
    return json_text(to_hex(v));
}
std::string json(Day v) {
    return json_text(to_iso(v));
}
std::string json(WallTime v) {
    return json_text(to_iso_second(v));
}
template <class Tag, std::size_t N>
std::string json(const FixedBytes<Tag, N>& v) {
    return json_text(to_hex(v.view()));
}
template <class T>
requires std::is_integral_v<T> std::string json(T v) {
    return std::to_string(v);
}
template <class T>
requires std::is_enum_v<T> std::string json(T v) {
    return std::to_string(static_cast<unsigned>(v));
}
template <HasNames T>
std::string json(const T& v);
template <class T>
std::string json(const std::optional<T>& v) {
    return v ? json(*v) : "null";
}
template <class T>
std::string json(const std::vector<T>& all) {
    std::string out = "[";
    for (const T& one : all) out += (out.size() == 1 ? "" : ",") + json(one);
    return out + "]";
}

// Takes a body's fields as the wire archive does, and pairs each with its name.
class FieldWriter {
public:
    explicit FieldWriter(std::span<const char* const> names) : names_(names) {}

    template <class... Fields>
    void operator()(Fields&&... fields) {
        (put(fields), ...);
    }
    std::string take() {
        ENSURE(next_ == names_.size());
        return "{" + out_ + "}";
    }

private:
    template <std::size_t Max, class T>
    void put(const codec::Bounded<Max, T>& field) {
        put(field.value);
    }
    template <class T>
    void put(const T& field) {
        ENSURE(next_ < names_.size());
        out_ += (next_ == 0 ? "\"" : ",\"") + std::string(names_[next_]) + "\":" + json(field);
        ++next_;
    }

    std::span<const char* const> names_;
    std::size_t next_ = 0;
    std::string out_;
};

template <HasNames T>
std::string json(const T& v) {
    FieldWriter writer(Names<T>::all);
    T copy = v;  // serialize() is one function for both ways
    copy.serialize(writer);
    return writer.take();
}

template <class T>
std::string body_json(const Bytes& payload) {
    const auto body = read_payload<T>(payload);
    if (body) return json(*body);
    return "{\"hex\":" + json_text(to_hex(payload)) + "}";
}

struct Kind {
    std::uint16_t number;
    const char* word;
    std::string (*body)(const Bytes&);
};
constexpr Kind kinds[] = {
    {kind::found, "found", body_json<FoundBody>},
    {kind::admit, "admit", body_json<AdmitBody>},
    {kind::certify, "certify", body_json<CertifyBody>},
    {kind::set_role, "set_role", body_json<SetRoleBody>},
    {kind::remove, "remove", body_json<RemoveBody>},
    {kind::extend_cut, "extend_cut", body_json<ExtendCutBody>},
    {kind::rotate_key, "rotate_key", body_json<RotateBody>},
    {kind::leave, "leave", body_json<LeaveBody>},
    {kind::revoke, "revoke", body_json<RevokeBody>},
    {kind::consent, "consent", body_json<ConsentBody>},
    {kind::paper_box, "paper_box", body_json<PaperBoxBody>},
    {kind::take_back, "take_back", body_json<TakeBackBody>},
    {kind::card, "card", body_json<CardBody>},
    {kind::club_row, "club_row", body_json<ClubRowBody>},
    {kind::pairing, "pairing", body_json<PairingBody>},
    {kind::assign, "assign", body_json<AssignBody>},
    {kind::tick, "tick", body_json<TickBody>},
    {kind::sign, "sign", body_json<SignBody>},
    {kind::withdraw, "withdraw", body_json<WithdrawBody>},
    {kind::set_aside, "set_aside", body_json<SetAsideBody>},
    {kind::meet, "meet", body_json<MeetBody>},
    {kind::meet_outcome, "meet_outcome", body_json<MeetOutcomeBody>},
    {kind::contact, "contact", body_json<ContactBody>},
    {kind::note, "note", body_json<NoteBody>},
    {kind::ask, "ask", body_json<AskBody>},
    {kind::touch, "touch", body_json<TouchBody>},
    {kind::known_date, "known_date", body_json<KnownDateBody>},
    {kind::amend_contact, "amend_contact", body_json<AmendContactBody>},
    {kind::strike_contact, "strike_contact", body_json<StrikeContactBody>},
    {kind::practice_answer, "practice_answer", body_json<PracticeAnswerBody>},
    {kind::mock_result, "mock_result", body_json<MockResultBody>},
    {kind::explanation, "explanation", body_json<ExplanationBody>},
    {kind::study_share, "study_share", body_json<StudyShareBody>},
    {kind::exam_try, "exam_try", body_json<ExamTryBody>},
    {kind::station, "station", body_json<StationBody>},
    {kind::pairing_wish, "pairing_wish", body_json<PairingWishBody>},
    {kind::pairing_review, "pairing_review", body_json<PairingReviewBody>},
    {kind::checked_on, "checked_on", body_json<CheckedBody>},
};

const Kind* find_kind(std::uint16_t number) {
    for (const Kind& k : kinds) {
        if (k.number == number) return &k;
    }
    return nullptr;
}

}  // namespace

std::string kind_word(std::uint16_t kind) {
    const Kind* known = find_kind(kind);
    return known != nullptr ? known->word : "kind " + std::to_string(kind);
}

std::string event_line(const store::OpenedEvent& event, const std::string& author) {
    const Kind* known = find_kind(event.body.kind);
    const std::string body =
        known != nullptr ? known->body(event.body.payload) : "{\"hex\":" + json_text(to_hex(event.body.payload)) + "}";
    return "{\"id\":" + json(event.id) + ",\"circle\":" + json(event.circle) + ",\"log\":" + json(event.log) +
           ",\"seq\":" + json(event.seq) + ",\"author\":" + json_text(author) +
           ",\"time\":" + json(event.body.time.wall) + ",\"kind\":" + json_text(kind_word(event.body.kind)) +
           ",\"supersedes\":" + json(event.body.supersedes) + ",\"body\":" + body + "}\n";
}

}  // namespace ladderline::node
