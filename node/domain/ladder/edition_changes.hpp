#pragma once
// What differs between two editions of a ladder. An id never changes its meaning (edition.hpp), so items are told apart
// by it.

#include "node/domain/ladder/edition.hpp"

namespace ladderline::domain {

enum class ChangeKind : std::uint8_t { added, gone, changed };

struct ItemChange {
    ItemId item;
    ChangeKind kind = ChangeKind::changed;
    std::string text;                // of the later edition; of the earlier where the item is gone
    std::vector<std::string> words;  // of a changed one, each as "signs: mentor, now examiner"
};
struct StageChange {
    std::uint8_t stage = 0;
    ChangeKind kind = ChangeKind::changed;
    std::string title;   // of the later edition; of the earlier where the stage is gone
    std::string before;  // the earlier title of a changed one
};
struct EditionChanges {
    std::vector<StageChange> stages;  // ascending
    std::vector<ItemChange> items;    // ascending

    bool none() const { return stages.empty() && items.empty(); }
};
EditionChanges changes_between(const Edition& earlier, const Edition& later);

}  // namespace ladderline::domain
