// What members say: bodies of content events, drawn.

#include "protocol/event/bodies.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/simulation/acts.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

// Few items and few days, so that people speak of the same things.
std::string item(Dice& dice) {
    return "0" + std::to_string(1 + dice.below(3)) + ".0" + std::to_string(1 + dice.below(3));
}

Day day(Dice& dice) {
    return {20'000 + static_cast<std::int32_t>(dice.below(800))};
}

// One of the node's rows, by a column that holds event ids.
EventId some_id(Node& node, std::string_view sql, const CircleId& circle, Dice& dice) {
    std::vector<EventId> all;
    const auto read = node.db().query(
        sql, [&](const store::sqlite::Row& row) { all.push_back(row.fixed<EventId>(0)); }, circle);
    if (!read || all.empty()) return dice.draw<EventId>();
    return dice.pick(all);
}

MemberId some_member(World& world, Dice& dice) {
    return dice.pick(world.people).id();
}

Bytes contact(World&, Dice& dice) {
    ContactBody body;
    body.start = {1'700'000'000'000 + static_cast<std::int64_t>(dice.below(1'000'000))};
    body.worked = "DEMO" + std::to_string(dice.below(9));
    body.band = "2m";
    body.mode = "FM";
    body.comment = "contact " + std::to_string(dice.below(100));
    return codec::encode(body);
}

Bytes card(Node& node, Dice& dice) {
    CardBody body;
    body.name = node.person.name;
    body.room = static_cast<std::uint8_t>(dice.below(4));
    body.topics = {"antennas " + std::to_string(dice.below(5))};
    body.resting = dice.chance(20);
    return codec::encode(body);
}

Bytes club_row(Node& node, Dice& dice) {
    ClubRowBody body;
    body.name = node.person.name;
    body.stage = "0" + std::to_string(dice.below(9));
    body.stage_since = day(dice);
    if (body.stage_since->number % 2 == 0) body.last_contact = body.stage_since;
    body.consent_until = day(dice);
    return codec::encode(body);
}

}  // namespace

Words words(World& world, Node& node, const CircleId& circle, Dice& dice) {
    switch (dice.below(14)) {
        case 0:
        case 1:
        case 2:
            return {kind::tick, codec::encode(TickBody{item(dice), day(dice), "heard it", dice.chance(25)}), false};
        case 3:
            return {kind::sign,
                    codec::encode(SignBody{item(dice), static_cast<std::uint8_t>(dice.below(5)), day(dice), "saw it"}),
                    false};
        case 4: {
            const EventId about =
                some_id(node, "SELECT id FROM statement WHERE circle = ?1 AND kind = 2", circle, dice);
            return {kind::withdraw, codec::encode(WithdrawBody{about, item(dice), "too early"}), false};
        }
        case 5:
            return {kind::set_aside, codec::encode(SetAsideBody{item(dice), Aside(1 + dice.below(3)), day(dice)}),
                    false};
        case 6:
            return {kind::assign, codec::encode(AssignBody{{item(dice)}, "first"}), false};
        case 7:
            return {kind::card, card(node, dice), true};
        case 8:
            return {kind::ask, codec::encode(AskBody{dice.chance(30) ? "" : "SWR", day(dice)}), true};
        case 9:
            return {kind::club_row, club_row(node, dice), true};
        case 10: {
            const PairingBody body{some_member(world, dice), some_member(world, dice), PairingStep(1 + dice.below(4)),
                                   day(dice)};
            return {kind::pairing, codec::encode(body), false};
        }
        case 11:
            return {kind::contact, contact(world, dice), false};
        case 12: {
            if (dice.chance(50)) {
                MeetBody body;
                body.start = {1'764'000'000'000 + static_cast<std::int64_t>(dice.below(1000))};
                body.other = some_member(world, dice);
                return {kind::meet, codec::encode(body), false};
            }
            const EventId about = some_id(node, "SELECT id FROM meeting WHERE circle = ?1", circle, dice);
            return {kind::meet_outcome, codec::encode(MeetOutcomeBody{about, MeetOutcome(1 + dice.below(3))}), false};
        }
        default:
            if (dice.chance(50)) return {kind::touch, codec::encode(TouchBody{day(dice)}), false};
            return {kind::note, codec::encode(NoteBody{std::string(dice.below(300), 'n')}), false};
    }
}

}  // namespace ladderline::simulation
