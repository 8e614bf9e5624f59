#pragma once
// What is said about ladder items. Every door (command line, page) comes through here, and here stand the gates.

#include "node/commands/way.hpp"

namespace ladderline::node {

struct AssignRequest {
    std::string who;                 // the newcomer; empty: oneself
    std::vector<std::string> items;  // as typed: "9.6", "09", "stage 9", words of an item
};
Result<Done> assign(Context& context, const AssignRequest& request);

struct TickRequest {
    std::string who;  // empty: oneself
    std::string item;
    std::optional<Day> day;  // empty: today
    std::string evidence;    // for 04.06 the call sign
    std::string guest_of;    // the licensed operator in control, where it was done as a guest
    std::string with;        // the second person, where an antenna went up or down
    bool undo = false;
};
Result<Done> tick(Context& context, const TickRequest& request);

struct SignRequest {
    std::string who;
    std::string item;
    std::string level;  // a word or 2 to 4 for a skill; empty: alone (3) for a skill, none otherwise
    std::optional<Day> day;
    std::string saw;
};
Result<Done> sign_off(Context& context, const SignRequest& request);

// Several items of one newcomer, each signed by a statement of its own; one that is refused holds up no other.
struct SignManyRequest {
    std::string who;
    std::vector<domain::ItemId> items;
    std::string level;  // of the skills among them
    std::optional<Day> day;
    std::string saw;
};
struct NotSigned {
    domain::ItemId item;
    std::string why;  // one sentence
};
struct SignedMany {
    std::vector<domain::ItemId> done;
    std::vector<NotSigned> left;
};
// bad_input: no item is named.
Result<SignedMany> sign_many(Context& context, const SignManyRequest& request);

struct WithdrawRequest {
    std::string who;
    std::string item;
    std::string why;
};
// Takes back the latest own signature on the item.
Result<Done> withdraw(Context& context, const WithdrawRequest& request);

struct AsideRequest {
    std::string item;                                          // empty: the whole way (rest, and back again)
    domain::StatementKind what = domain::StatementKind::skip;  // skip, rest or reopen
};
Result<Done> set_aside(Context& context, const AsideRequest& request);

}  // namespace ladderline::node
