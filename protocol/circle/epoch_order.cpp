#include "protocol/circle/epoch_order.hpp"

#include "protocol/circle/epochs.hpp"

namespace ladderline::protocol {
namespace {

// Of two rotations made side by side: on a path the guardian's goes before the newcomer's. Those of a club's officers,
// and of the machines of one person, rank alike; nobody else may make one (may_rotate).
int rank_of(const CircleState& past, const MemberId& author) {
    return past.members.at(author).role == MemberRole::guardian ? 1 : 0;
}

// After it, an older key is in hands that should not have what is written from then on.
bool closes_a_key(const Act& act) {
    const auto* consent = std::get_if<ConsentBody>(&act);
    return std::holds_alternative<RemoveBody>(act) || std::holds_alternative<LeaveBody>(act) ||
           std::holds_alternative<RevokeBody>(act) || (consent != nullptr && consent->withdrawn);
}

// Leaves after which their author was let in again by nobody, as far as is known here.
using LastLeaves = std::map<MemberId, std::vector<std::size_t>>;

LastLeaves last_leaves(const Timeline& all, const std::set<std::size_t>& returns,
                       const std::function<MemberId(std::size_t)>& author_of) {
    std::map<MemberId, std::vector<std::size_t>> returns_of;
    for (const std::size_t i : returns) returns_of[std::get<AdmitBody>(all.acts[i]).member].push_back(i);
    LastLeaves out;
    all.standing.for_each([&](std::size_t i) {
        if (!std::holds_alternative<LeaveBody>(all.acts[i])) return;
        const MemberId member = author_of(i);
        const std::vector<std::size_t>& backs = returns_of[member];
        const bool is_last = std::all_of(backs.begin(), backs.end(), [&](std::size_t b) { return all.past[i].has(b); });
        if (is_last) out[member].push_back(i);
    });
    return out;
}

// Who had left for good when the key was made, and whose removal says it once more, does not have it.
bool makes_stale(const Timeline& all, const LastLeaves& leaves, std::size_t rotation, std::size_t closing) {
    const auto* remove = std::get_if<RemoveBody>(&all.acts[closing]);
    const auto of_member = remove == nullptr ? leaves.end() : leaves.find(remove->member);
    if (of_member == leaves.end()) return true;
    return std::none_of(of_member->second.begin(), of_member->second.end(), [&](std::size_t leave) {
        return all.past[rotation].has(leave) && all.past[closing].has(leave);
    });
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

void Timeline::list_returns(CircleState& state, const std::set<std::size_t>& returns) const {
    const auto member_of = [&](std::size_t i) -> const MemberId& { return std::get<AdmitBody>(acts[i]).member; };
    std::map<MemberId, std::vector<std::size_t>> latest;  // that no other one builds on
    for (const std::size_t i : returns) {
        if (!standing.has(i) || state.members.at(member_of(i)).removed) continue;
        std::vector<std::size_t>& of_member = latest[member_of(i)];
        std::erase_if(of_member, [&](std::size_t earlier) { return past[i].has(earlier); });
        of_member.push_back(i);
    }
    if (latest.empty()) return;
    std::vector<std::size_t> by_id;
    standing.for_each([&](std::size_t i) { by_id.push_back(i); });
    std::sort(by_id.begin(), by_id.end(), [&](auto a, auto b) { return events[a]->id < events[b]->id; });
    auto ids = std::make_shared<EventSubset::Ids>();
    for (const std::size_t i : by_id) ids->push_back(events[i]->id);
    for (const auto& [member, backs] : latest) {
        EventSubset out(ids);
        for (std::size_t place = 0; place < by_id.size(); ++place) {
            const std::size_t i = by_id[place];
            for (const std::size_t back : backs) {
                if (i == back || past[i].has(back)) out.add(place);
            }
        }
        state.after_return.emplace(member, std::move(out));
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

void Timeline::list_epochs(CircleState& state, const std::vector<std::size_t>& rotations,
                           const std::set<std::size_t>& returns, const std::function<MemberId(std::size_t)>& author_of,
                           const std::function<Epoch(std::size_t)>& epoch_at) const {
    std::vector<std::size_t> heads;
    for (const std::size_t i : rotations) {
        if (!standing.has(i)) continue;
        std::erase_if(heads, [&](std::size_t earlier) { return past[i].has(earlier); });
        heads.push_back(i);
    }
    Bits closing;
    standing.for_each([&](std::size_t i) {
        if (closes_a_key(acts[i])) closing.set(i);
    });
    const LastLeaves leaves = last_leaves(*this, returns, author_of);
    state.founding_key_is_stale = heads.empty() && !closing.is_empty();
    for (const std::size_t i : heads) {
        Epoch& epoch = state.epochs.emplace_back(epoch_at(i));
        (closing - past[i]).for_each([&](std::size_t unseen) {
            epoch.is_stale = epoch.is_stale || makes_stale(*this, leaves, i, unseen);
        });
        epoch.consent_had_ended = epoch.scope == Readers::household && epoch.saw_two_adults &&
                                  state.consent.has_value() && past[i].has(index_of(state.consent->event));
    }
    put_in_order(state.epochs);
}

}  // namespace ladderline::protocol
