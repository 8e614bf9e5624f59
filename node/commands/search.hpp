#pragma once
// Looking for words in what this node holds: people, items of the ladder, contacts.

#include "node/commands/context.hpp"
#include "node/domain/ladder/edition.hpp"

namespace ladderline::node {

struct FoundPerson {
    protocol::MemberId id;
    std::string name;
    std::string call_sign;            // empty: none, or not shown
    std::vector<std::string> places;  // "Hill Club", "Ana's path"
    bool path_shared = false;         // theirs, and it is not the own one
};
struct FoundItem {
    domain::ItemId id;
    std::string text;
};
struct FoundContact {
    protocol::EventId id;
    std::string words;
    protocol::MemberId whose;
    std::string whose_name;  // of the path's owner
    bool own = false;
};

inline constexpr std::size_t found_max = 50;  // of each

struct Found {
    std::vector<FoundPerson> people;     // by name
    std::vector<FoundItem> items;        // in the ladder's order
    std::vector<FoundContact> contacts;  // newest first on each path, the own one first
    bool more = false;                   // than found_max of one of them
    bool empty() const { return people.empty() && items.empty() && contacts.empty(); }
};

// Every word must stand in what is found, in part and in any case. bad_input: fewer than two characters.
Result<Found> search(Context& context, std::string_view words);

}  // namespace ladderline::node
