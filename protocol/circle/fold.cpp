#include "protocol/circle/acts.hpp"
#include "protocol/circle/epoch_order.hpp"
#include "protocol/circle/goings.hpp"
#include "protocol/circle/removals.hpp"

namespace ladderline::protocol {
namespace {

// Events in causal order, ties by smallest id, with links as positions in that order. `pending`: what is left over.
struct Ordered {
    std::vector<const ControlEvent*> events;
    std::vector<std::vector<std::size_t>> links;
    std::size_t pending = 0;
};

class Orderer {
public:
    Orderer(const CircleId& circle, const std::vector<ControlEvent>& events) : founding_(EventId{circle.data}) {
        for (const ControlEvent& e : events) known_.emplace(e.id, &e);
        std::map<std::pair<LogId, std::uint64_t>, EventId> by_place;
        for (const auto& [id, e] : known_) by_place.emplace(std::pair(e->log, e->seq), id);
        for (const auto& [place, id] : by_place) {
            const auto after = by_place.upper_bound(place);
            if (after != by_place.end() && after->first.first == place.first) before_in_log_[after->second] = id;
        }
    }

    Ordered run() {
        for (const auto& [id, e] : known_) {
            const std::set<EventId> links = links_of(*e);
            missing_[id] = links.size();
            for (const EventId& link : links) waiting_for_[link].push_back(id);
            if (links.empty()) ready_.insert(id);
        }
        Ordered out;
        while (!ready_.empty()) {
            const EventId id = ready_.extract(ready_.begin()).value();
            std::vector<std::size_t> links;
            for (const EventId& link : links_of(*known_.at(id))) links.push_back(position_.at(link));
            position_[id] = out.events.size();
            out.events.push_back(known_.at(id));
            out.links.push_back(std::move(links));
            for (const EventId& next : waiting_for_[id]) {
                if (--missing_.at(next) == 0) ready_.insert(next);
            }
        }
        out.pending = known_.size() - out.events.size();
        return out;
    }

private:
    // The founding event builds on nothing, whatever it names. Nothing waits for what is named and is not here: it may
    // stand beyond a fork, and then it never comes.
    std::set<EventId> links_of(const ControlEvent& e) const {
        if (e.id == founding_) return {};
        std::set<EventId> links{founding_};
        for (const EventId& link : e.ctl) {
            if (known_.contains(link)) links.insert(link);
        }
        const auto before = before_in_log_.find(e.id);
        if (before != before_in_log_.end()) links.insert(before->second);
        return links;
    }

    EventId founding_;
    std::map<EventId, const ControlEvent*> known_;
    std::map<EventId, EventId> before_in_log_;
    std::map<EventId, std::size_t> missing_;
    std::map<EventId, std::vector<EventId>> waiting_for_;
    std::map<EventId, std::size_t> position_;
    std::set<EventId> ready_;
};

// The state of a set of events, with the event that each right rests on.
struct Standing {
    CircleState state;
    std::map<MemberId, std::size_t> role_by;
    std::map<DeviceId, std::size_t> device_by;
    std::map<MemberId, Goings> goings;
    std::map<MemberId, std::size_t> member_by;
};

// The state of one set of allowed events, kept while the fold goes on.
struct Branch {
    Bits set;
    std::size_t last = 0;  // the latest event in the set
    Standing standing;
};

constexpr std::size_t branches_max = 8;

class Folder {
public:
    explicit Folder(Ordered ordered) : ordered_(std::move(ordered)), removals_(ordered_.events.size()) {}

    CircleState run() {
        const std::size_t count = ordered_.events.size();
        past_.reserve(count);  // removals_ points into it
        acts_.reserve(count);
        Bits taken;
        Standing now;
        bool is_stale = false;  // a removal voids what came before it: `now` is to be worked out anew
        const auto refresh = [&] {
            if (std::exchange(is_stale, false)) now = standing_of(taken);
        };
        for (std::size_t i = 0; i < count; ++i) {
            acts_.push_back(read_act(*ordered_.events[i]));
            past_.push_back(past_of(i));
            taken.set(i);
            const bool knows_all = past_[i].covers(allowed_);
            if (knows_all) refresh();
            if (!judge(i, knows_all ? now : standing_in_past(i))) continue;
            allowed_.set(i);
            if (is_stale) continue;
            if (removals_.all().has(i) && removals_.voids_earlier(i)) {
                is_stale = true;
            } else if (removals_.stands(i, taken)) {
                carry_out_at(now, i);
            }
        }
        refresh();
        CircleState state = std::move(now.state);
        write_cuts(state, now.goings);
        describe(state, taken);
        return state;
    }

private:
    Bits past_of(std::size_t i) const {
        Bits past;
        for (const std::size_t link : ordered_.links[i]) {
            past |= past_[link];
            past.set(link);
        }
        return past;
    }

    // Branches mostly grow at their ends, so a few states are kept and carried on.
    const Standing& standing_in_past(std::size_t i) {
        const Bits known = past_[i] & allowed_;
        Branch* best = nullptr;
        for (Branch& branch : branches_) {
            if (leads_to(branch, known) && (best == nullptr || best->last < branch.last)) best = &branch;
        }
        if (best == nullptr) {
            if (branches_.size() < branches_max) branches_.emplace_back();
            best = &branches_[next_branch_++ % branches_max];
            best->standing = standing_of(known);
        } else {
            (known - best->set).for_each([&](std::size_t event) {
                if (removals_.stands(event, known)) carry_out_at(best->standing, event);
            });
        }
        best->set = known;
        best->last =
            ordered_.links[i].empty() ? 0 : *std::max_element(ordered_.links[i].begin(), ordered_.links[i].end());
        return best->standing;
    }

    // True if `set` is the branch and, later in the order, other events without a removal.
    bool leads_to(const Branch& branch, const Bits& set) const {
        if (!set.covers(branch.set)) return false;
        const Bits more = set - branch.set;
        const auto first = more.first();
        return (!first || *first > branch.last) && !more.first_common(removals_.all());
    }

    Standing standing_of(const Bits& set) {
        Standing out;
        (set & allowed_).for_each([&](std::size_t i) {
            if (removals_.stands(i, set)) carry_out_at(out, i);
        });
        return out;
    }

    // Had the author the right, in the event's past? If so it is entered with what it rests on.
    bool judge(std::size_t i, const Standing& past) {
        const ControlEvent& e = *ordered_.events[i];
        if (const auto* found = std::get_if<FoundBody>(&acts_[i])) {
            if (i != 0 || !may_found(e, *found)) return false;
            removals_.add_event(i, {found->device.member, e.author, e.log, e.seq, &past_[i], {}, true, false});
            return true;
        }
        const Act& act = acts_[i];
        const auto known = past.state.present_member(e.author);
        const auto author = known ? known : brings_itself(past.state, e, act);
        if (!author || !is_allowed(past.state, Author{*author, e.author}, act)) return false;
        std::vector<std::size_t> supports{known ? past.device_by.at(e.author) : past.member_by.at(*author)};
        if (needs_role(past.state, *author, act)) supports.push_back(past.role_by.at(*author));
        const bool leaves = std::holds_alternative<LeaveBody>(act);
        removals_.add_event(i, {*author, e.author, e.log, e.seq, &past_[i], std::move(supports), false, leaves});
        enter(i, *author, act, past);
        return true;
    }

    // What later events and the end of the fold ask about this one.
    void enter(std::size_t i, const MemberId& author, const Act& act, const Standing& past) {
        if (const auto* remove = std::get_if<RemoveBody>(&act)) {
            removals_.add_removal(i, remove->member, std::nullopt, remove->cuts);
        } else if (const auto* leave = std::get_if<LeaveBody>(&act)) {
            removals_.add_removal(i, author, std::nullopt, leave->cuts);
        } else if (const auto* revoke = std::get_if<RevokeBody>(&act)) {
            removals_.add_removal(i, past.state.devices.at(revoke->device).member, revoke->device, revoke->cuts);
        } else if (is_return(past.state, act)) {
            removals_.add_return(i, std::get<AdmitBody>(act).member);
            returns_.insert(i);
        } else if (std::holds_alternative<RotateBody>(act)) {
            rotations_.push_back(i);
        }
    }

    void carry_out_at(Standing& standing, std::size_t i) {
        const Act& act = acts_[i];
        if (go(standing, i, act)) return;
        const auto* admit = std::get_if<AdmitBody>(&act);
        const bool is_new = admit != nullptr && !standing.state.members.contains(admit->member);
        carry_out(standing.state, removals_.author_of(i), act);
        if (const auto* found = std::get_if<FoundBody>(&act)) {
            standing.role_by.emplace(found->device.member, i);
            standing.member_by.emplace(found->device.member, i);
            standing.device_by.emplace(found->device.device, i);
        } else if (admit != nullptr) {
            standing.role_by.emplace(admit->member, i);
            standing.member_by.emplace(admit->member, i);
            for (const DeviceCertificate& device : admit->devices) standing.device_by.emplace(device.device, i);
            if (is_new) settle(standing, admit->member, i);
        } else if (const auto* certify = std::get_if<CertifyBody>(&act)) {
            standing.device_by.emplace(certify->device.device, i);
        } else if (const auto* set = std::get_if<SetRoleBody>(&act)) {
            if (standing.state.members.contains(set->member)) standing.role_by[set->member] = i;
        }
    }

    // Goings, and what undoes them. True if the act was one of the goings and nothing else.
    bool go(Standing& standing, std::size_t i, const Act& act) {
        MemberId member;
        bool is_comeback = false;
        if (const auto* remove = std::get_if<RemoveBody>(&act)) {
            standing.goings[member = remove->member].add_removal(i, past_);
        } else if (std::holds_alternative<LeaveBody>(act)) {
            standing.goings[member = removals_.author_of(i)].add_removal(i, past_);
        } else if (std::holds_alternative<RevokeBody>(act)) {
            member = removals_.member_of(i);  // lost for good, also where its certificate has lost its effect
            standing.goings[member].add_revocation(i);
        } else if (const auto* extend = std::get_if<ExtendCutBody>(&act)) {
            standing.goings[member = extend->member].add_extension(i, past_);
        } else if (const auto* admit = std::get_if<AdmitBody>(&act); admit != nullptr && returns_.contains(i)) {
            standing.goings[member = admit->member].add_comeback(i, past_);
            is_comeback = true;
        } else {
            return std::holds_alternative<RotateBody>(act) || std::holds_alternative<ConsentBody>(act);
        }
        if (!standing.state.members.contains(member)) return !is_comeback;
        const bool is_back = settle(standing, member, i);
        if (is_comeback && is_back) {
            take_seat(standing.state, std::get<AdmitBody>(act));
            standing.role_by[member] = i;
            standing.member_by[member] = i;
        }
        return !is_comeback;
    }

    // True if the member is there. Somebody may have gone before, in the order of the fold, they came: when the
    // admission that the remover knew has lost its effect, and another one that knows nothing of the removal has not.
    bool settle(Standing& standing, const MemberId& member, std::size_t i) const {
        const auto goings = standing.goings.find(member);
        return goings == standing.goings.end() || goings->second.settle(standing.state, member, i, acts_, past_);
    }

    void write_cuts(CircleState& state, const std::map<MemberId, Goings>& all) const {
        std::map<std::size_t, const MemberId*> in_order;
        for (const auto& [member, goings] : all) {
            if (state.members.contains(member)) in_order.emplace(goings.settled_at(), &member);
        }
        for (const auto& [i, member] : in_order) all.at(*member).write_cuts(state, *member, acts_);
    }

    static void take_seat(CircleState& state, const AdmitBody& admit) {
        Member& member = state.members.at(admit.member);
        member = {admit.role, admit.level, admit.name, admit.is_minor, false, false};
    }

    // Heads, and the events without effect.
    void describe(CircleState& state, const Bits& all) {
        Bits standing;
        for (std::size_t i = 0; i < past_.size(); ++i) {
            if (allowed_.has(i) && removals_.stands(i, all)) {
                standing.set(i);
            } else {
                state.without_effect.insert(ordered_.events[i]->id);
            }
        }
        std::vector<std::size_t> heads = heads_of(standing);
        if (heads.size() > limits::control_heads_max) heads = best_of(heads);
        add_footing(heads, standing);
        for (const std::size_t i : heads) state.heads.push_back(ordered_.events[i]->id);
        std::sort(state.heads.begin(), state.heads.end());
        state.pending = ordered_.pending;
        describe_later(state, standing);
    }

    // Those of a set that none of it builds on.
    std::vector<std::size_t> heads_of(const Bits& set) const {
        Bits built_upon;
        set.for_each([&](std::size_t i) { built_upon |= past_[i]; });
        std::vector<std::size_t> out;
        (set - built_upon).for_each([&](std::size_t i) { out.push_back(i); });
        return out;
    }

    // Beside the heads, as far as there is room: what would be one without the events of a head's author, and without
    // those of the device that wrote it. Whoever takes a log back by forking it then takes nobody else's events out of
    // the past of what is said next.
    void add_footing(std::vector<std::size_t>& heads, const Bits& standing) const {
        std::set<MemberId> authors;
        std::set<DeviceId> devices;
        for (const std::size_t head : heads) {
            authors.insert(removals_.author_of(head));
            devices.insert(ordered_.events[head]->author);
        }
        for (const MemberId& author : authors) {
            add_heads_without(heads, standing, [&](std::size_t i) { return removals_.author_of(i) == author; });
        }
        for (const DeviceId& device : devices) {
            add_heads_without(heads, standing, [&](std::size_t i) { return ordered_.events[i]->author == device; });
        }
    }

    template <class IsLeftOut>
    void add_heads_without(std::vector<std::size_t>& heads, const Bits& standing, const IsLeftOut& is_left_out) const {
        if (heads.size() >= limits::control_heads_max) return;
        Bits others;
        standing.for_each([&](std::size_t i) {
            if (!is_left_out(i)) others.set(i);
        });
        for (const std::size_t i : largest_first(heads_of(others))) {
            if (heads.size() >= limits::control_heads_max) return;
            if (std::find(heads.begin(), heads.end(), i) == heads.end()) heads.push_back(i);
        }
    }

    // Those that build on most before the rest.
    std::vector<std::size_t> largest_first(std::vector<std::size_t> events) const {
        std::stable_sort(events.begin(), events.end(),
                         [&](std::size_t a, std::size_t b) { return past_[a].count() > past_[b].count(); });
        return events;
    }

    // What hangs on all standing events together: who knows of a return, the consent in question, the epochs.
    void describe_later(CircleState& state, const Bits& standing) {
        const Timeline timeline{ordered_.events, acts_, past_, standing};
        timeline.list_returns(state, returns_);
        const auto author_of = [&](std::size_t i) { return removals_.author_of(i); };
        state.consent = timeline.consent(author_of);
        timeline.list_epochs(state, rotations_, returns_, author_of, [&](std::size_t i) {
            const MemberId& author = removals_.author_of(i);
            const Standing& past = standing_in_past(i);
            return epoch_of(*ordered_.events[i], author, std::get<RotateBody>(acts_[i]), past.state,
                            past_[past.role_by.at(author)].count());
        });
    }

    // More heads than an event can name: first one of every author, so that no crowd of idle forks by one of them hides
    // the others; those that build on most before the rest.
    std::vector<std::size_t> best_of(const std::vector<std::size_t>& heads) const {
        std::map<MemberId, std::size_t> seen;
        std::vector<std::pair<std::size_t, std::size_t>> ranked;  // how many better ones the author has, event
        for (const std::size_t i : largest_first(heads)) ranked.emplace_back(seen[removals_.author_of(i)]++, i);
        std::stable_sort(ranked.begin(), ranked.end(), [](auto a, auto b) { return a.first < b.first; });
        ranked.resize(limits::control_heads_max);
        std::vector<std::size_t> out;
        for (const auto& [rank, i] : ranked) out.push_back(i);
        return out;
    }

    Ordered ordered_;
    std::vector<Act> acts_;
    std::vector<Bits> past_;
    Bits allowed_;
    Removals removals_;
    std::set<std::size_t> returns_;
    std::vector<std::size_t> rotations_;
    std::vector<Branch> branches_;
    std::size_t next_branch_ = 0;
};

}  // namespace

CircleState fold_control(const CircleId& circle, const std::vector<ControlEvent>& events) {
    return Folder(Orderer(circle, events).run()).run();
}

}  // namespace ladderline::protocol
