#include "node/domain/ladder/edition_changes.hpp"

namespace ladderline::domain {
namespace {

std::string or_none(std::string_view word) {
    return word.empty() ? std::string("nothing") : std::string(word);
}

void note(ItemChange& out, std::string_view what, std::string_view before, std::string_view now) {
    if (before == now) return;
    out.words.push_back(std::string(what) + ": " + or_none(before) + ", now " + or_none(now));
}

std::string_view yes_no(bool value) {
    return value ? "yes" : "no";
}

ItemChange compared(const Item& before, const Item& now) {
    ItemChange out{now.id, ChangeKind::changed, now.text, {}};
    note(out, "words", before.text, now.text);
    note(out, "kind", to_word(before.kind), to_word(now.kind));
    note(out, "who ticks", to_word(before.ticks), to_word(now.ticks));
    note(out, "who signs", to_word(before.signs), to_word(now.signs));
    note(out, "what shows it", before.evidence, now.evidence);
    note(out, "about safety", yes_no(before.safety), yes_no(now.safety));
    note(out, "note", before.note, now.note);
    note(out, "held shut by", to_word(before.gate), to_word(now.gate));
    note(out, "for", to_word(before.applies), to_word(now.applies));
    note(out, "looked at again", to_word(before.recheck), to_word(now.recheck));
    note(out, "only if needed", yes_no(before.only_if_needed), yes_no(now.only_if_needed));
    return out;
}

}  // namespace

EditionChanges changes_between(const Edition& earlier, const Edition& later) {
    EditionChanges out;
    for (int number = 0; number <= 99; ++number) {
        const auto stage = static_cast<std::uint8_t>(number);
        const Stage* before = earlier.stage(stage);
        const Stage* now = later.stage(stage);
        if (before == nullptr && now != nullptr) out.stages.push_back({stage, ChangeKind::added, now->title, {}});
        if (before != nullptr && now == nullptr) out.stages.push_back({stage, ChangeKind::gone, before->title, {}});
        if (before != nullptr && now != nullptr && before->title != now->title) {
            out.stages.push_back({stage, ChangeKind::changed, now->title, before->title});
        }
    }
    std::size_t at = 0;
    for (const Item& item : later.items) {
        for (; at < earlier.items.size() && earlier.items[at].id < item.id; ++at) {
            out.items.push_back({earlier.items[at].id, ChangeKind::gone, earlier.items[at].text, {}});
        }
        if (at == earlier.items.size() || earlier.items[at].id != item.id) {
            out.items.push_back({item.id, ChangeKind::added, item.text, {}});
            continue;
        }
        if (ItemChange change = compared(earlier.items[at++], item); !change.words.empty()) {
            out.items.push_back(std::move(change));
        }
    }
    for (; at < earlier.items.size(); ++at) {
        out.items.push_back({earlier.items[at].id, ChangeKind::gone, earlier.items[at].text, {}});
    }
    return out;
}

}  // namespace ladderline::domain
