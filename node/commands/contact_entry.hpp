#pragma once
// What every way of writing a contact down goes through: the form, a line of a net, a file, a change. Private to the
// commands about contacts.

#include <map>
#include <set>

#include "node/commands/contacts.hpp"

namespace ladderline::node {

// The contact as it will be stored; bad_input with a sentence about the first thing that cannot be.
Result<protocol::ContactBody> body_of(const ContactRequest& request, const WayView& view);
// What a change of it starts from: the request that would make the same body.
ContactRequest request_of(const protocol::ContactBody& body);

// bad_input: more than a day to come (clocks and time zones of people differ).
Result<void> has_come(Context& context, WallTime start);
// Gate 2, whoever asks and whichever way the contact comes in: nothing under a call sign that is not visible yet.
Result<void> contact_gate(const ContactRequest& request, const WayView& view);
// One's own side of a contact with the path's owner: `body` becomes that of one's own call sign.
Result<void> make_own_side(Context& context, const WayView& view, protocol::ContactBody& body);

// Everything above in its order, and nothing stored. `own_call`: under which of the owner's call signs it was sent,
// where that is known; empty for the latest, and of no account for a guest.
Result<protocol::ContactBody> checked_contact(Context& context, const WayView& view, const ContactRequest& request,
                                              const std::string& own_call = {});

// Contacts that could be the same one: the same station, band and mode, and nearly the same time. Looks up in the
// logarithm of the number of contacts.
class SameContacts {
public:
    // Of the way's log, or, with `by`, what that member wrote down as their own side.
    explicit SameContacts(const WayView& view, const protocol::MemberId* own_side_of = nullptr);

    void add(const protocol::ContactBody& body);
    // The start of the nearest one within same_contact_min minutes; none if there is none.
    std::optional<WallTime> near(const protocol::ContactBody& body) const;
    // In the same minute.
    bool has(const protocol::ContactBody& body) const;

private:
    std::map<std::string, std::set<std::int64_t>> starts_;  // minutes since 1970, by station, band and mode
};
// "KD0XBB on 2m FM is in the log already, at 2026-03-02T18:00Z."
std::string same_words(const protocol::ContactBody& body, WallTime start);

// "KD0XBB, 2026-03-02T18:00Z, 146.52 MHz FM"
std::string contact_words(const protocol::ContactBody& body);
// "146.52 MHz FM", or with the band where no frequency is known.
std::string where_words(const protocol::ContactBody& body);

}  // namespace ladderline::node
