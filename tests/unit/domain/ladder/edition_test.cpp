#include "node/domain/ladder/edition.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>

namespace ladderline::test {
namespace {

using namespace ladderline::domain;

template <class Pick>
std::ptrdiff_t count(Pick pick) {
    const auto& items = shipped_edition().items;
    return std::count_if(items.begin(), items.end(), pick);
}

TEST_CASE("the shipped ladder has 20 stages and 268 items: 138 to check off, 74 skills, 56 milestones") {
    CHECK(shipped_edition().stages.size() == 20);
    CHECK(shipped_edition().items.size() == 268);
    CHECK(count([](const Item& i) { return i.kind == ItemKind::checklist; }) == 138);
    CHECK(count([](const Item& i) { return i.kind == ItemKind::skill; }) == 74);
    CHECK(count([](const Item& i) { return i.kind == ItemKind::milestone; }) == 56);
}

TEST_CASE("45 items of the shipped ladder are about safety, and somebody else signs each of them") {
    CHECK(count([](const Item& i) { return i.safety; }) == 45);
    CHECK(count([](const Item& i) { return i.safety && i.signs == SignWord::none; }) == 0);
}

TEST_CASE("121 items of the shipped ladder need no signature") {
    CHECK(count([](const Item& i) { return i.signs == SignWord::none; }) == 121);
}

TEST_CASE("the shipped ladder says whose it is, which edition, and that it may be changed locally") {
    const Edition& edition = shipped_edition();
    CHECK(edition.name == "Ladderline way, United States");
    CHECK(edition.edition == "2026-1");
    CHECK(edition.owner == "shipped");
    CHECK(edition.local_changes);
}

TEST_CASE("items are numbered from one in every stage of the shipped ladder, without a hole") {
    std::uint8_t stage = 0;
    std::uint8_t number = 0;
    for (const Item& item : shipped_edition().items) {
        number = item.id.stage == stage ? static_cast<std::uint8_t>(number + 1) : std::uint8_t{1};
        stage = item.id.stage;
        CHECK(item.id == ItemId{stage, number});
    }
}

TEST_CASE("the items that rules name are the ones they mean") {
    struct Row {
        ItemId id;
        std::string begins;
    };
    const Row rows[] = {
        {known_item::guardian_agrees, "Under 18: guardian reads the plan"},
        {known_item::second_adult_named, "Under 18: a second adult is named"},
        {known_item::public_address, "Decide which postal address"},
        {known_item::session_chosen, "Choose a session"},
        {known_item::exam_passed, "Passed the first-licence exam"},
        {known_item::fee_notice_seen, "From the first working day, look for the fee"},
        {known_item::fee_paid, "Pay the regulator's fee"},
        {known_item::grant_visible, "Call sign granted and visible"},
        {known_item::site_walk, "Walk the antenna site"},
        {known_item::second_person_at_antenna, "Raise or lower an antenna only with"},
        {known_item::exposure_sheet, "Radio-frequency exposure worked out"},
        {known_item::station_looked_over, "Station looked over"},
        {known_item::grant_and_frequency_checked, "Grant visible and frequency"},
        {known_item::first_contact, "First two-way contact"},
        {known_item::second_contact, "Second contact"},
        {known_item::ten_contacts, "Ten contacts in all"},
        {known_item::antenna_up, "Antenna up"},
        {known_item::exposure_sheet_hf, "Exposure worked out again for these bands"},
        {known_item::exposure_sheet_data, "Lower the power for long transmissions"},
        {known_item::upgrade_passed, "Passed the upgrade"},
        {known_item::exposure_sheet_upgrade, "Exposure and station check again"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.begins);
        CHECK(shipped_edition().find(row.id)->text.starts_with(row.begins));
    }
}

TEST_CASE("the five items that begin with Under 18 are for minors only, and two of them open the gate") {
    CHECK(count([](const Item& i) { return i.applies == AppliesTo::minor; }) == 5);
    CHECK(count([](const Item& i) { return i.applies == AppliesTo::minor && !i.text.starts_with("Under 18"); }) == 0);
    CHECK(count([](const Item& i) { return i.gate == ItemGate::minor && i.id.stage == 0; }) == 2);
    CHECK(count([](const Item& i) { return i.gate == ItemGate::minor; }) == 2);
}

TEST_CASE(
    "from the first contact on, every item whose evidence is a contact waits for the grant, but for the guest's") {
    int contacts = 0;
    for (const Item& item : shipped_edition().items) {
        const bool contact = item.evidence.starts_with("contact entr") || item.evidence == "count of entries" ||
                             item.evidence == "two entries";
        if (!contact || item.id.stage < 9) continue;
        ++contacts;
        const bool guest = item.id == ItemId{13, 5};
        CAPTURE(item.text);
        CHECK((item.gate == ItemGate::grant) == !guest);
    }
    CHECK(contacts > 20);
}

TEST_CASE("nothing before the first contact, and nothing about safety at a desk, waits for the grant") {
    CHECK(count([](const Item& i) { return i.gate == ItemGate::grant && i.id.stage < 9; }) == 0);
    CHECK(count([](const Item& i) { return i.gate == ItemGate::grant && i.evidence == "spoken answer"; }) == 0);
    CHECK(count([](const Item& i) { return i.gate == ItemGate::grant && i.evidence == "drill"; }) == 0);
}

TEST_CASE("six items make up the exposure gate") {
    CHECK(count([](const Item& i) { return i.gate == ItemGate::exposure; }) == 6);
    CHECK(count([](const Item& i) { return i.gate == ItemGate::exposure && !i.safety; }) == 0);
}

TEST_CASE("a ladder written out reads back equal") {
    CHECK(parse_edition(to_text(shipped_edition())).value() == shipped_edition());
}

// One stage, one item; `item` replaces the item's line.
std::string small_ladder(const std::string& item) {
    return "#edition\tClub way\t1\tlocal-changes=no\towner=Club\nstage\ttitle\twalker\n09\tFirst\tnewcomer\n"
           "id\titem\tkind\tticks\tsigns\tevidence\tsafety\tnote\tgate\tapplies\trecheck\tonly-if-needed\n" +
           item;
}

const std::string good_item = "09.06\tTalk\tmilestone\tnewcomer\tmentor\tdate\tn\t\tgrant\tall\t\tn\n";

TEST_CASE("a club's small ladder is read") {
    const Edition edition = parse_edition(small_ladder("# a remark\n" + good_item)).value();
    CHECK(edition.items.front().text == "Talk");
    CHECK_FALSE(edition.local_changes);
}

TEST_CASE("a bad line of a ladder is named by its number, with what is wrong") {
    struct Row {
        std::string item;
        std::string says;
    };
    const Row rows[] = {
        {"09.06\tTalk\tmilestone\n", "Line 5 of the ladder must have 12 fields"},
        {"9.6\tTalk\tmilestone\tnewcomer\tmentor\tdate\tn\t\tgrant\tall\t\tn\n", "must begin with a number such as"},
        {"09.00\tTalk\tmilestone\tnewcomer\tmentor\tdate\tn\t\tgrant\tall\t\tn\n", "must begin with a number such as"},
        {"09.06\t\tmilestone\tnewcomer\tmentor\tdate\tn\t\tgrant\tall\t\tn\n", "has no text"},
        {"09.06\tTalk\tgame\tnewcomer\tmentor\tdate\tn\t\tgrant\tall\t\tn\n", "has 'game' as its kind"},
        {"09.06\tTalk\tskill\tnobody\tmentor\tdate\tn\t\tgrant\tall\t\tn\n", "has 'nobody' as its ticker"},
        {"09.06\tTalk\tskill\tnewcomer\tking\tdate\tn\t\tgrant\tall\t\tn\n", "has 'king' as its signer"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\t\tn\t\tgrant\tall\t\tn\n", "has no evidence"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\tdate\tyes\t\tgrant\tall\t\tn\n", "has 'yes' as its safety mark"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\tdate\tn\t\tdoor\tall\t\tn\n", "has 'door' as its gate"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\tdate\tn\t\t\tadult\t\tn\n", "has 'adult' as its word on whom"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\tdate\tn\t\t\tall\tdaily\tn\n", "has 'daily' as its recheck"},
        {"09.06\tTalk\tskill\tnewcomer\tmentor\tdate\tn\t\t\tall\t\t\n", "has '' as its word on need"},
        {"09.06\tTalk\tskill\tnewcomer\tnone\tdate\ty\t\t\tall\t\tn\n", "is a safety item that nobody signs"},
        {"09.06\tTa\x01lk\tskill\tnewcomer\tnone\tdate\tn\t\t\tall\t\tn\n", "holds a control character"},
        {"09.06\tTa\xFFlk\tskill\tnewcomer\tnone\tdate\tn\t\t\tall\t\tn\n", "is not UTF-8"},
        {"\n", "Line 5 of the ladder must have 12 fields"},
        {"08.01\tTalk\tskill\tnewcomer\tnone\tdate\tn\t\t\tall\t\tn\n", "belongs to no stage"},
        {"", "has no items"},
    };
    for (const Row& row : rows) {
        CAPTURE(row.item);
        const auto parsed = parse_edition(small_ladder(row.item));
        REQUIRE_FALSE(parsed.has_value());
        CHECK(parsed.error().sentence().find(row.says) != std::string::npos);
    }
}

TEST_CASE("a number that was used before is refused") {
    const auto parsed = parse_edition(small_ladder(good_item + good_item));
    REQUIRE_FALSE(parsed.has_value());
    CHECK(parsed.error().sentence().find("Line 6 of the ladder is out of order") != std::string::npos);
}

TEST_CASE("a ladder without a proper first line is refused") {
    for (const std::string text :
         {"", "hello\n", "#edition\tClub way\t1\tlocal-changes=maybe\towner=x\n", "#edition\tClub way\t1\n"}) {
        CAPTURE(text);
        CHECK_FALSE(parse_edition(text).has_value());
    }
}

TEST_CASE("a field longer than 400 bytes is refused, one of 400 is read") {
    const auto item = [](std::size_t bytes) {
        return "09.06\t" + std::string(bytes, 'x') + "\tskill\tnewcomer\tnone\tdate\tn\t\t\tall\t\tn\n";
    };
    CHECK(parse_edition(small_ladder(item(400))).has_value());
    CHECK_FALSE(parse_edition(small_ladder(item(401))).has_value());
}

TEST_CASE("an item is found by its number however it is typed, and by words that only it has") {
    for (const std::string input : {"9.6", "09.06", "09-06", " 9 6 ", "9/06", "two-way contact", "TWO-WAY",
                                    "first two-way contact, with the mentor"}) {
        CAPTURE(input);
        const auto found = find_by_input(shipped_edition(), input);
        REQUIRE(found.has_value());
        CHECK(found.value()->id == ItemId{9, 6});
    }
}

TEST_CASE("words in another order find the item too") {
    CHECK(find_by_input(shipped_edition(), "swells lithium").value()->id == ItemId{7, 11});
}

TEST_CASE("words as they stand in one item win over the same words scattered in others") {
    CHECK(find_by_input(shipped_edition(), "antenna up").value()->id == known_item::antenna_up);
}

TEST_CASE("words that several items have are answered with the first three of them") {
    const auto found = find_by_input(shipped_edition(), "antenna");
    REQUIRE_FALSE(found.has_value());
    const std::string& sentence = found.error().sentence();
    CHECK(sentence.starts_with("'antenna' fits "));
    CHECK(std::count(sentence.begin(), sentence.end(), ';') == 2);
    CHECK(found.error().fault() == Fault::bad_input);
}

TEST_CASE("a number or words that no item has are answered with a sentence") {
    for (const std::string input : {"9.99", "42.1", "zeppelin", "   "}) {
        CAPTURE(input);
        CHECK_FALSE(find_by_input(shipped_edition(), input).has_value());
    }
}

TEST_CASE("the number of an item is written with two digits each") {
    CHECK(to_text(ItemId{9, 6}) == "09.06");
    CHECK(parse_item_id("09.06").value() == ItemId{9, 6});
    for (const std::string text : {"9.6", "09.6", "09-06", "0906", "09.0a", "09.00", ""}) {
        CAPTURE(text);
        CHECK_FALSE(parse_item_id(text).has_value());
    }
}

}  // namespace
}  // namespace ladderline::test
