#include "node/commands/who_is_meant.hpp"

namespace ladderline::node {

bool is_meant(const PersonView& person, const std::string& wanted) {
    if (lower(person.name).find(wanted) != std::string::npos) return true;
    if (person.card && lower(person.card->call_sign) == wanted) return true;
    return wanted.size() >= 6 && to_hex(person.id.view()).starts_with(wanted);
}

Result<PersonView> find_anywhere(Context& context, std::string_view who) {
    const std::string wanted = lower(who);
    std::vector<PersonView> found;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(auto persons, people(context.db, circle.id));
        for (PersonView& person : persons) {
            if (to_hex(person.id.view()) == wanted) return std::move(person);
            if (wanted.empty() || !is_meant(person, wanted)) continue;
            const auto known = std::ranges::find(found, person.id, &PersonView::id);
            if (known == found.end()) {
                found.push_back(std::move(person));
            } else if (lower(person.name) == wanted) {
                *known = std::move(person);  // called so in one circle is enough
            }
        }
    }
    std::vector<std::string> names;
    for (const PersonView& person : found) names.push_back(person.name);
    return only_one(std::move(found), std::move(names), who, "in a circle with you");
}

}  // namespace ladderline::node
