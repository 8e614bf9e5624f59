#include "node/commands/own_clubs.hpp"

#include <algorithm>

#include "protocol/base/letters.hpp"
#include "store/circles/owners.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::size_t digits_min = 6;
constexpr std::size_t digits_shown = 8;

struct Place {
    bool unasked = false;
    bool other_seat = false;  // not an officer's
    std::int64_t log = 0;     // the first log of the circle that came to this store
    friend auto operator<=>(const Place&, const Place&) = default;
};

Result<Place> place_of(Context& context, const CircleView& club, const PersonView& me) {
    Place out;
    out.other_seat = me.role != MemberRole::officer;
    TRY(out.unasked, came_unasked(context, club.id));
    TRY(context.db.query(
        "SELECT coalesce(min(log_ref), 0) FROM log WHERE circle = ?1",
        [&](const store::sqlite::Row& row) { out.log = row.integer(0); }, club.id));
    return out;
}

// Names that two of them have are followed by the first digits of the id.
std::string listed(const std::vector<CircleView>& clubs) {
    std::string out;
    for (std::size_t at = 0; at < clubs.size(); ++at) {
        if (at > 0) out += at + 1 == clubs.size() ? " and " : ", ";
        out += clubs[at].name;
        const auto is_same = [&](const CircleView& other) { return lower(other.name) == lower(clubs[at].name); };
        if (std::count_if(clubs.begin(), clubs.end(), is_same) > 1) {
            out += " (" + to_hex(clubs[at].id.view()).substr(0, digits_shown) + ")";
        }
    }
    return out;
}

}  // namespace

Result<bool> came_unasked(Context& context, const CircleId& circle) {
    return store::came_unasked(context.db, circle, context.me.id());
}

Result<std::vector<CircleView>> own_clubs(Context& context) {
    std::vector<std::pair<CircleView, PersonView>> found;
    TRY(auto all, circles(context.db));
    for (CircleView& circle : all) {
        if (circle.kind != CircleKind::club) continue;
        TRY(auto me, person(context.db, circle.id, context.me.id()));
        if (me) found.emplace_back(std::move(circle), std::move(*me));
    }
    std::vector<CircleView> out;
    if (found.size() == 1) {
        out.push_back(std::move(found.front().first));
        return out;
    }
    std::vector<std::pair<Place, std::size_t>> order;
    for (std::size_t at = 0; at < found.size(); ++at) {
        TRY(const Place place, place_of(context, found[at].first, found[at].second));
        order.emplace_back(place, at);
    }
    std::sort(order.begin(), order.end());
    for (const auto& [place, at] : order) out.push_back(std::move(found[at].first));
    return out;
}

Result<CircleView> club_called(Context& context, std::string_view name) {
    TRY(const auto clubs, own_clubs(context));
    if (clubs.empty()) return own_circle(context, CircleKind::club);  // says how to get one
    const std::string wanted = lower(name);
    std::vector<CircleView> whole;
    std::vector<CircleView> begun;
    for (const CircleView& club : clubs) {
        const std::string known = lower(club.name);
        const bool by_digits = wanted.size() >= digits_min && to_hex(club.id.view()).starts_with(wanted);
        if (known == wanted) whole.push_back(club);
        if (known.starts_with(wanted) || by_digits) begun.push_back(club);
    }
    if (whole.size() == 1) return whole.front();
    if (begun.size() == 1) return begun.front();
    if (begun.empty()) {
        return Error{Fault::not_found, "You are in no club called '" + std::string(name) + "'; " +
                                           (clubs.size() == 1 ? "yours is " : "there are ") + listed(clubs) + "."};
    }
    return Error{Fault::bad_input,
                 "You are in " + listed(begun) + "; add the name of the one you mean, or the beginning of it."};
}

}  // namespace ladderline::node
