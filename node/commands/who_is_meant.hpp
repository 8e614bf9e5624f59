#pragma once
// Of several people, or of what belongs to one each, the one that somebody's words mean.

#include <algorithm>

#include "node/commands/context.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::node {

// `wanted`: in small letters; part of the name, the call sign, or the first digits of the key.
bool is_meant(const PersonView& person, const std::string& wanted);

// The one match, or a sentence that names the candidates. A whole name goes before a part of one, so that somebody
// whose name is part of another's can be meant. `place`: "in this circle".
template <class T>
Result<T> only_one(std::vector<T> found, std::vector<std::string> names, std::string_view who, std::string_view place) {
    if (found.size() == 1) return std::move(found.front());
    const auto is_whole = [&](const std::string& name) { return lower(name) == lower(who); };
    if (std::count_if(names.begin(), names.end(), is_whole) == 1) {
        const auto whole = std::find_if(names.begin(), names.end(), is_whole) - names.begin();
        return std::move(found[static_cast<std::size_t>(whole)]);
    }
    const std::string quoted = "'" + std::string(who) + "'";
    if (found.empty()) return Error{Fault::not_found, "Nobody called " + quoted + " is " + std::string(place) + "."};
    std::string list;
    for (const std::string& name : names) list += (list.empty() ? "" : ", ") + name;
    return Error{Fault::bad_input, quoted + " could be " + list + "; give more of the name."};
}

// Somebody in any circle of this node, as find_person in one: who could be meant in one circle makes a name unclear
// that is clear in another.
Result<PersonView> find_anywhere(Context& context, std::string_view who);

}  // namespace ladderline::node
