#include "tests/scale/assumptions.hpp"

#include <cmath>

#include "protocol/circle/bodies.hpp"
#include "protocol/event/bodies.hpp"
#include "tests/support/protocol/person.hpp"

namespace ladderline::scale {
namespace {

using namespace protocol;

constexpr std::int64_t some_ms = 1'764'097'500'000;

// `superseded`: earlier writes to the same register that the body names.
template <class Payload>
std::uint16_t plain_bytes(const Payload& payload, std::size_t superseded = 0) {
    const Body body{{{some_ms}, 0}, 33, std::vector<EventId>(superseded), codec::encode(payload)};
    return static_cast<std::uint16_t>(codec::encode(body).size());
}

CardBody some_card() {
    CardBody card;
    card.name = "Robin Example";
    card.call_sign = "QA1ZZZ";
    card.locator = "JN58";
    card.zone = "Europe/Berlin";
    card.licence_class = "E";
    card.topics = {"antennas", "first contacts", "digital modes"};
    card.bands = {"40m", "20m", "2m", "70cm"};
    card.windows = {{2, 1140, 1260}, {4, 1140, 1260}, {7, 600, 720}};
    return card;
}

ClubRowBody some_row() {
    ClubRowBody row;
    row.name = "Robin Example";
    row.call_sign = "QA1ZZZ";
    row.stage = "09";
    row.stage_since = row.last_milestone = row.last_contact = row.last_touch = Day{20'418};
    row.mentor = MemberId{};
    row.consent_until = Day{20'783};
    return row;
}

ContactBody some_contact() {
    ContactBody contact;
    contact.start = {some_ms};
    contact.worked = "QB2ZZZ";
    contact.station = "QA1ZZZ";
    contact.frequency = "145.500";
    contact.band = "2m";
    contact.mode = "FM";
    contact.sent = contact.received = "59";
    contact.locator = "JN58";
    contact.comment = "first time with the new antenna";
    return contact;
}

MeetBody some_meeting() {
    return {{some_ms},
            {},
            "145.500",
            "145.525",
            "FM",
            "telephone, ten minutes later",
            "call sign, name, place; thanks and goodbye"};
}

std::vector<Saying> all_sayings() {
    const auto card = plain_bytes(some_card(), 1);
    const auto row = plain_bytes(some_row(), 1);
    const auto contact = plain_bytes(some_contact());
    const auto note = plain_bytes(NoteBody{std::string(180, 'x')});
    const auto tick = plain_bytes(TickBody{"09.06", {20'418}, "wrote down what I heard on the net", false});
    const auto sign = plain_bytes(SignBody{"09.06", 3, {20'418}, "heard it on the air from start to end"});
    const auto practice =
        plain_bytes(PracticeAnswerBody{"Example pool 2026", "T1A01", Answer::right, "2013", 1, {some_ms}});
    const auto touch = plain_bytes(TouchBody{{20'418}});
    return {
        {Place::club, Part::newcomer, "row for the club's review", 1.5, row},
        {Place::club, Part::newcomer, "asks for a hand, or says that it is settled", 0.2,
         plain_bytes(AskBody{"how to tune the antenna", {20'418}})},
        {Place::club, Part::newcomer, "card", 0.05, card},
        {Place::club, Part::mentor, "card", 0.1, card},
        {Place::club, Part::mentor, "pairing proposed, agreed or ended", 0.1,
         plain_bytes(PairingBody{{}, {}, PairingStep::agreed, {20'418}})},
        {Place::club, Part::officer, "card", 0.1, card},
        {Place::club, Part::officer, "pairing proposed or ended", 1,
         plain_bytes(PairingBody{{}, {}, PairingStep::proposed, {20'418}})},
        {Place::club, Part::officer, "note for all", 1, note},
        {Place::path, Part::newcomer, "contact", 3, contact},
        {Place::path, Part::newcomer, "tick", 1.5, tick},
        {Place::path, Part::newcomer, "note", 0.5, note},
        {Place::path, Part::newcomer, "arranged contact, or its outcome", 0.3, plain_bytes(some_meeting())},
        {Place::path, Part::mentor, "sign", 0.7, sign},
        {Place::path, Part::mentor, "touch", 0.7, touch},
        {Place::path, Part::mentor, "note", 0.5, note},
        {Place::path, Part::mentor, "arranged contact, or its outcome", 0.3, plain_bytes(some_meeting())},
        {Place::desk, Part::newcomer, "practice answer", 60, practice},
        {Place::desk, Part::mentor, "contact of their own", 8, contact},
        {Place::desk, Part::officer, "contact of their own", 8, contact},
    };
}

ControlBytes all_control_bytes() {
    Dice dice(1);
    const auto person = test::make_person("Robin Example", dice);
    const std::vector<Cut> cuts(2);
    RotateBody rotate;
    rotate.parents.resize(1);
    rotate.links = {{{}, Bytes(AeadKey::size + aead_tag_bytes)}};
    return {plain_bytes(AdmitBody{{}, MemberRole::newcomer, 0, person.name, false, {person.certificate()}}),
            plain_bytes(PaperBoxBody{}),
            plain_bytes(RemoveBody{{}, "moved away", cuts}),
            plain_bytes(rotate),
            plain_bytes(some_card()),
            plain_bytes(FoundBody{CircleKind::path, "Robin's way", MemberRole::newcomer, 0, person.name, false,
                                  person.certificate()})};
}

}  // namespace

const std::vector<Saying>& sayings() {
    static const std::vector<Saying> all = all_sayings();
    return all;
}

const ControlBytes& control_bytes() {
    static const ControlBytes all = all_control_bytes();
    return all;
}

double fraction(Dice& dice) {
    return static_cast<double>(dice.next() >> 11) * 0x1p-53;
}

std::uint32_t poisson(Dice& dice, double mean) {
    const double least = std::exp(-mean);
    std::uint32_t count = 0;
    for (double product = fraction(dice); product > least; product *= fraction(dice)) ++count;
    return count;
}

double exponential(Dice& dice, double mean) {
    return -mean * std::log(1 - fraction(dice));
}

}  // namespace ladderline::scale
