#include "tests/bench/sync/world.hpp"

#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/support/protocol/person.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::bench {

using namespace protocol;
using test::SeededRandom;

namespace {

constexpr std::size_t body_bytes = 120;
constexpr std::int64_t first_ms = 1'700'000'000'000;
constexpr std::int64_t between_ms = 4 * 3'600'000;
constexpr std::int64_t row_between_ms = 36 * 3'600'000;  // in a club

AeadKey epoch_key() {
    SeededRandom random(1);
    return AeadKey::random(random);
}

Body padded(Body body, const std::function<Bytes(std::size_t)>& payload) {
    body.payload = payload(0);
    const std::size_t size = codec::encode(body).size();
    if (size < body_bytes) body.payload = payload(body_bytes - size);
    ENSURE(codec::encode(body).size() == body_bytes);
    return body;
}

// What a member says: six in ten are contacts, a quarter ticks, the rest notes.
Body saying(std::size_t log, std::uint64_t seq) {
    Body body{
        {{first_ms + static_cast<std::int64_t>(seq) * between_ms + static_cast<std::int64_t>(log)}, 0}, 0, {}, {}};
    const std::size_t draw = (log * 7 + seq * 13) % 20;
    const auto filled = [](std::size_t pad) { return std::string(pad, '.'); };
    if (draw < 12) {
        body.kind = kind::contact;
        return padded(std::move(body), [&](std::size_t pad) {
            ContactBody contact;
            contact.start = body.time.wall;
            contact.worked = "QA" + std::to_string(seq % 10) + "ZZZ";
            contact.station = "QB" + std::to_string(log % 10) + "ZZZ";
            contact.frequency = "14.285";
            contact.band = "20m";
            contact.mode = "SSB";
            contact.sent = contact.received = "59";
            contact.locator = "JN58";
            contact.comment = filled(pad);
            return codec::encode(contact);
        });
    }
    if (draw < 17) {
        body.kind = kind::tick;
        return padded(std::move(body), [&](std::size_t pad) {
            const std::string item = "0" + std::to_string(1 + seq % 9) + ".0" + std::to_string(1 + log % 9);
            return codec::encode(TickBody{item, utc_day(body.time.wall), filled(pad), false});
        });
    }
    body.kind = kind::note;
    return padded(std::move(body), [&](std::size_t pad) { return codec::encode(NoteBody{filled(pad)}); });
}

}  // namespace

namespace {

bool is_newcomer(std::size_t number) {
    return number % 2 == 1;
}
bool is_mentor(std::size_t number) {
    return number > 0 && number % 20 == 0;
}

MemberRole role_of(const WorldSize& size, std::size_t number) {
    return size.sayings == Sayings::contacts || !is_mentor(number) ? MemberRole::newcomer : MemberRole::mentor;
}

std::string two_digits(std::uint64_t number) {
    return {static_cast<char>('0' + number / 10 % 10), static_cast<char>('0' + number % 10)};
}

// A newcomer's row a day and a half after the last: a stage every ninth, contacts at the end of the way.
ClubRowBody row_of(const std::string& name, std::size_t number, std::uint64_t seq, WallTime said,
                   const std::optional<MemberId>& mentor) {
    constexpr std::uint64_t rows_a_stage = 9;
    constexpr std::uint64_t on_air_after = 120;
    constexpr std::int32_t consent_days = 700;
    const Day today = utc_day(said);
    ClubRowBody out;
    out.name = name;
    out.stage = two_digits(std::min<std::uint64_t>(19, (seq + number % 7) / rows_a_stage));
    out.last_milestone = today + -static_cast<std::int32_t>(seq % rows_a_stage);
    if (seq > on_air_after + number % 60) {
        out.call_sign = "QA" + two_digits(number) + "ZZ";
        out.last_contact = today + -static_cast<std::int32_t>(number % 40);
    }
    out.last_touch = today + -static_cast<std::int32_t>(number % 30);
    out.mentor = mentor;
    if (number % 13 == seq % 13) {
        out.help_topic = "antenna";
        out.help_since = today + -static_cast<std::int32_t>(number % 9);
    }
    out.resting = number % 37 == 1;
    out.consent_until = today + consent_days;
    return out;
}

}  // namespace

struct World::Author {
    SeededRandom random;
    test::Person person;
    LogOpening opening;
    LogId log;
};

// Writes one log, in runs as a peer would cut them.
class World::Pen {
public:
    Pen(Author& author, const AeadKey& key, const CircleId& circle, ChainTip tip)
        : author_(author), key_(key), circle_(circle), at_(std::move(tip)) {}

    EventId write(const Body& body, const std::vector<EventId>& ctl) {
        const EventPlace place{header_circle(circle_, author_.opening, at_.next_seq), author_.log, at_.next_seq,
                               at_.head, ctl};
        const Event event = make_event(place, body, key_, author_.person.device.secret, author_.random);
        const EventId id = id_of(event.header);
        if (author_.opening.founding && at_.next_seq == 0) circle_.data = id.data;
        if (out_.runs.empty() || bytes_ >= limits::run_bytes_max) {
            const auto opening = at_.next_seq == 0 ? std::optional(author_.opening) : std::nullopt;
            out_.runs.push_back({author_.log, opening, at_.next_seq, {}});
            bytes_ = 0;
        }
        RunEvent told{event.signature, event.header.salt, std::nullopt, std::nullopt, event.sealed};
        if (event.header.key != at_.key) told.key = event.header.key;
        if (event.header.ctl != at_.ctl) told.ctl = event.header.ctl;
        bytes_ += encoded_size(told);
        out_.runs.back().events.push_back(std::move(told));
        at_ = {at_.next_seq + 1, id, event.header.key, event.header.ctl};
        out_.events += 1;
        out_.bytes += 91 + event.sealed.size() - aead_tag_bytes;
        return id;
    }
    std::uint64_t next_seq() const { return at_.next_seq; }
    Written take() && { return std::move(out_); }

private:
    Author& author_;
    const AeadKey& key_;
    CircleId circle_;
    ChainTip at_;
    std::size_t bytes_ = 0;
    Written out_;
};

World::Author World::author(const CircleId& circle, std::size_t number) {
    SeededRandom random(1000 + number);
    test::Person person = test::make_person("Member " + std::to_string(number), random);
    const LogOpening opening{person.device_id(), random.draw<LogSalt>(), number == 0};
    const LogId log = log_id_of(number == 0 ? CircleId{} : circle, opening);
    return {random, std::move(person), opening, log};
}

World::World(WorldSize size) : size_(size), key_(epoch_key()) {
    Author founder = author({}, 0);
    Pen pen(founder, key_, {}, {});
    write_founding(pen);
    write_sayings(pen, 0);
    founding_ = std::move(pen).take();
}

void World::write_founding(Pen& pen) {
    const test::Person founder = this->founder();
    const auto said = [](std::uint16_t kind, Bytes payload) {
        return Body{{{first_ms}, 0}, kind, {}, std::move(payload)};
    };
    const FoundBody found{CircleKind::club, "Example club", MemberRole::officer,  level_max,
                          founder.name,     false,          founder.certificate()};
    const EventId founding = pen.write(said(kind::found, codec::encode(found)), {});
    circle_ = CircleId{founding.data};
    ctl_ = {founding};
    for (std::size_t i = 1; i < size_.logs; ++i) {
        const test::Person person = author(circle_, i).person;
        const AdmitBody admit{person.id(), role_of(size_, i), 0, person.name, false, {person.certificate()}};
        ctl_ = {pen.write(said(kind::admit, codec::encode(admit)), ctl_)};
    }
}

// A paper key's box and a card come first, as from everybody.
void World::write_sayings(Pen& pen, std::size_t number) const {
    const Author me = author(circle_, number);
    const auto said = [](std::uint16_t kind, Bytes payload) {
        return Body{{{first_ms}, 0}, kind, {}, std::move(payload)};
    };
    CardBody card;
    card.name = me.person.name;
    card.zone = "Europe/Berlin";
    if (size_.sayings == Sayings::club && is_mentor(number)) card.room = 5;
    const std::vector<EventId> boxed{
        pen.write(said(kind::paper_box, codec::encode(PaperBoxBody{me.person.box.pub})), ctl_)};
    pen.write(said(kind::card, codec::encode(card)), boxed);
    const std::size_t share = size_.events / size_.logs + (number < size_.events % size_.logs ? 1 : 0);
    const bool is_club = size_.sayings == Sayings::club;
    for (std::size_t i = 2; i < share; ++i) {
        const std::uint64_t seq = pen.next_seq();
        pen.write(is_club ? club_saying(number, seq) : saying(number, seq), boxed);
    }
}

Body World::club_saying(std::size_t number, std::uint64_t seq) const {
    const WallTime said{first_ms + static_cast<std::int64_t>(seq) * row_between_ms + static_cast<std::int64_t>(number)};
    if (!is_newcomer(number)) {
        return {{said, 0}, kind::touch, {}, codec::encode(TouchBody{utc_day(said)})};
    }
    const std::size_t mentor = number % 100 / 20 * 20 + 20 + number / 100 * 100;  // one of the same hundred
    const bool has_mentor = number % 5 != 0 && mentor < size_.logs;
    const auto id = has_mentor ? std::optional(author(circle_, mentor).person.id()) : std::nullopt;
    return {{said, 0},
            kind::club_row,
            {},
            codec::encode(row_of("Member " + std::to_string(number), number, seq, said, id))};
}

test::Person World::founder() const {
    return author({}, 0).person;
}

WallTime World::end() const {
    const auto events = static_cast<std::int64_t>(size_.events / size_.logs + 2);
    return {first_ms + events * (size_.sayings == Sayings::club ? row_between_ms : between_ms)};
}

World::Written World::write(std::size_t number) const {
    if (number == 0) return founding_;
    Author me = author(circle_, number);
    Pen pen(me, key_, circle_, {});
    write_sayings(pen, number);
    return std::move(pen).take();
}

LogId World::log(std::size_t number) const {
    return author(circle_, number).log;
}

Result<std::size_t> World::write_more(store::EventLog& log, std::size_t number) const {
    Author me = author(circle_, number);
    TRY(const std::uint64_t next, log.next_seq(circle_, me.log));
    TRY(const auto head, log.event_id(circle_, me.log, next - 1));
    TRY(const auto boxed, log.event_id(circle_, me.log, 0));
    ENSURE(number > 0 && head && boxed);
    Pen pen(me, key_, circle_, {next, *head, id_of_key(key_), {*boxed}});
    pen.write(saying(number, next), {*boxed});
    const Written more = std::move(pen).take();
    TRY(const Appended outcome, log.append_run(circle_, more.runs.front()));
    ENSURE(outcome == Appended::stored);
    return more.bytes;
}

}  // namespace ladderline::bench
