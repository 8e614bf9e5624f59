#include "node/domain/ladder/edition_changes.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline::domain;

namespace {

Item& item_of(Edition& edition, ItemId id) {
    return *std::find_if(edition.items.begin(), edition.items.end(), [&](const Item& item) { return item.id == id; });
}

}  // namespace

TEST_CASE("An edition does not differ from itself") {
    CHECK(changes_between(shipped_edition(), shipped_edition()).none());
}

TEST_CASE("A changed item says what it was and what it is now, field by field") {
    Edition later = shipped_edition();
    Item& item = item_of(later, {9, 6});
    item.text = "The first two-way contact";
    item.signs = SignWord::club;
    const EditionChanges changes = changes_between(shipped_edition(), later);
    REQUIRE(changes.items.size() == 1);
    CHECK(changes.items[0].item == ItemId{9, 6});
    CHECK(changes.items[0].kind == ChangeKind::changed);
    REQUIRE(changes.items[0].words.size() == 2);
    CHECK(changes.items[0].words[1].find("who signs: ") == 0);
    CHECK(changes.items[0].words[1].find(", now club") != std::string::npos);
}

TEST_CASE("Items that are new or gone are told apart, first and last ones too") {
    Edition earlier = shipped_edition();
    Edition later = shipped_edition();
    const ItemId first = earlier.items.front().id;
    const ItemId last = earlier.items.back().id;
    later.items.erase(later.items.begin());
    earlier.items.pop_back();
    const EditionChanges changes = changes_between(earlier, later);
    REQUIRE(changes.items.size() == 2);
    CHECK(changes.items[0].item == first);
    CHECK(changes.items[0].kind == ChangeKind::gone);
    CHECK(changes.items[1].item == last);
    CHECK(changes.items[1].kind == ChangeKind::added);
    const EditionChanges back = changes_between(later, earlier);
    REQUIRE(back.items.size() == 2);
    CHECK(back.items[0].kind == ChangeKind::added);
    CHECK(back.items[1].kind == ChangeKind::gone);
}

TEST_CASE("A stage with another title names both, and a new or a missing stage is one") {
    Edition later = shipped_edition();
    const std::string before = later.stages[3].title;
    later.stages[3].title = "Another title";
    later.stages.push_back({42, "Something of the club's own", Walker::newcomer});
    const EditionChanges changes = changes_between(shipped_edition(), later);
    REQUIRE(changes.stages.size() == 2);
    CHECK(changes.stages[0].before == before);
    CHECK(changes.stages[0].title == "Another title");
    CHECK(changes.stages[1].kind == ChangeKind::added);
    CHECK(changes_between(later, shipped_edition()).stages[1].kind == ChangeKind::gone);
}
