#pragma once
// The last word about a contact is its author's, who may change it and strike it out. What was said before stays where
// it was said, and is shown with the contact.

#include "node/commands/contacts.hpp"

namespace ladderline::node {

// A contact that this node's owner wrote down, by the first digits of its id; struck out or not. refused: somebody else
// wrote it. not_found, or bad_input where several begin so.
struct OwnContact {
    WayView way;
    ContactView view;
};
Result<OwnContact> own_contact(Context& context, const std::string& who, const std::string& id);
// What the form of a change starts with.
ContactRequest change_of(const ContactView& view);

// `to.who` as in a new contact; everything in `to` replaces what was there, and brings back what was struck out. The
// gates and the look for one that seems the same are those of a new contact.
Result<Done> amend_contact(Context& context, const std::string& id, const ContactRequest& to);
// Out of lists, exports, comparisons and counts; the ladder's ticks and signatures stand.
Result<Done> strike_contact(Context& context, const std::string& who, const std::string& id, const std::string& reason);

// "2026-03-02T18:00Z written down: KD0XBB, ...", a line for each word, oldest first; one line where nothing changed.
struct HistoryLine {
    WallTime said;
    std::string words;
};
std::vector<HistoryLine> history_lines(const ContactView& view);

}  // namespace ladderline::node
