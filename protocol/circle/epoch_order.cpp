#include "protocol/circle/epoch_order.hpp"

#include "protocol/circle/epochs.hpp"

namespace ladderline::protocol {
namespace {

// Of two rotations made side by side by members of one circle.
int rank_of(const CircleState& past, const MemberId& author) {
    switch (past.members.at(author).role) {
        case MemberRole::officer:
            return 5;
        case MemberRole::guardian:
            return 4;
        case MemberRole::newcomer:
            return author == past.founder ? 3 : 0;
        case MemberRole::second_adult:
            return 2;
        case MemberRole::mentor:
            return 1;
    }
    return 0;
}

// After it, an older key is in hands that should not have what is written from then on.
bool closes_a_key(const Act& act) {
    const auto* consent = std::get_if<ConsentBody>(&act);
    return std::holds_alternative<RemoveBody>(act) || std::holds_alternative<LeaveBody>(act) ||
           std::holds_alternative<RevokeBody>(act) || (consent != nullptr && consent->withdrawn);
}

}  // namespace

Epoch epoch_of(const ControlEvent& event, const MemberId& author, const RotateBody& body, const CircleState& past,
               std::size_t joined) {
    Epoch epoch;
    epoch.event = event.id;
    epoch.key = body.key;
    epoch.scope = body.readers;
    epoch.readers = members_of(past, body.readers);
    epoch.rank = rank_of(past, author);
    epoch.joined = joined;
    epoch.saw_two_adults = has_two_adults(past);
    return epoch;
}

bool Timeline::is_latest_return(std::size_t i, const std::set<std::size_t>& returns) const {
    const MemberId& member = std::get<AdmitBody>(acts[i]).member;
    return std::none_of(returns.begin(), returns.end(), [&](std::size_t other) {
        return standing.has(other) && std::get<AdmitBody>(acts[other]).member == member && past[other].has(i);
    });
}

void Timeline::add_followers(std::set<EventId>& out, std::size_t i) const {
    out.insert(events[i]->id);
    for (std::size_t later = i + 1; later < events.size(); ++later) {
        if (standing.has(later) && past[later].has(i)) out.insert(events[later]->id);
    }
}

std::optional<Consent> Timeline::consent(const std::function<MemberId(std::size_t)>& author_of) const {
    std::vector<std::size_t> said;
    for (std::size_t i = 0; i < events.size(); ++i) {
        if (!standing.has(i) || !std::holds_alternative<ConsentBody>(acts[i])) continue;
        std::erase_if(said, [&](std::size_t earlier) { return past[i].has(earlier); });
        said.push_back(i);
    }
    std::optional<Consent> out;
    for (const std::size_t i : said) {
        const auto& body = std::get<ConsentBody>(acts[i]);
        const auto order = [](const ConsentBody& b) { return std::tuple(!b.withdrawn, b.keep_until, b.given); };
        if (!out || order(body) < order(out->said)) out = Consent{events[i]->id, author_of(i), body};
    }
    return out;
}

std::size_t Timeline::index_of(const EventId& id) const {
    const auto found = std::find_if(events.begin(), events.end(), [&](const ControlEvent* e) { return e->id == id; });
    ENSURE(found != events.end());
    return static_cast<std::size_t>(found - events.begin());
}

void Timeline::list_epochs(CircleState& state, const std::map<std::size_t, Epoch>& all) const {
    std::vector<std::size_t> heads;
    for (const auto& [i, epoch] : all) {
        if (!standing.has(i)) continue;
        std::erase_if(heads, [&](std::size_t earlier) { return past[i].has(earlier); });
        heads.push_back(i);
    }
    const auto misses_a_going = [&](const Bits* known) {
        for (std::size_t i = 0; i < events.size(); ++i) {
            if (standing.has(i) && closes_a_key(acts[i]) && (known == nullptr || !known->has(i))) return true;
        }
        return false;
    };
    state.founding_key_is_stale = heads.empty() && misses_a_going(nullptr);
    for (const std::size_t i : heads) {
        state.epochs.push_back(all.at(i));
        Epoch& epoch = state.epochs.back();
        epoch.is_stale = misses_a_going(&past[i]);
        epoch.consent_had_ended = epoch.scope == Readers::household && epoch.saw_two_adults &&
                                  state.consent.has_value() && past[i].has(index_of(state.consent->event));
    }
    put_in_order(state.epochs);
}

}  // namespace ladderline::protocol
