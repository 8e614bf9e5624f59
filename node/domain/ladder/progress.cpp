#include "node/domain/ladder/progress.hpp"

#include <algorithm>
#include <array>

#include "node/domain/ladder/gates.hpp"
#include "node/domain/ladder/papers.hpp"
#include "node/domain/ladder/rights.hpp"

namespace ladderline::domain {
namespace {

constexpr std::int32_t year_days = 365;
constexpr std::int32_t season_days = 91;

// After how many days it is looked at again; empty: not by the calendar.
std::optional<std::int32_t> days_between_looks(Recheck recheck) {
    if (recheck == Recheck::yearly) return year_days;
    if (recheck == Recheck::seasonal) return season_days;
    return {};
}

constexpr ItemId certificate_checked{3, 11};
constexpr ItemId filed_again{4, 5};  // asked for, after the fee was missed

// Preparation that is behind somebody once `by` is reached: people sit the exam first and join later, and nobody is
// sent back to pack for it. What follows a pass on the day itself, such as who calls, is behind with the grant alone.
// Safety items are never passed over.
struct Overtaken {
    ItemId first;
    ItemId last;
    ItemId by;
};
constexpr std::array<Overtaken, 4> overtaken_by{{
    {{1, 1}, {3, 10}, known_item::exam_passed},
    {{1, 1}, {3, 99}, known_item::grant_visible},
    {{4, 1}, {4, 5}, known_item::grant_visible},
    {{18, 1}, {18, 4}, known_item::upgrade_passed},
}};

class Walk {
public:
    Walk(const Edition& edition, const States& states, const WayFacts& facts, const Papers& papers)
        : edition_(edition), states_(states), facts_(facts), papers_(papers) {}

    Progress result() const {
        Progress out;
        for (const Stage& stage : edition_.stages) out.stages.push_back(count(stage.number));
        for (const Item& item : edition_.items) look_at(item, out);
        if (!facts_.resting) out.next = next();
        out.waiting = waiting();
        return out;
    }

private:
    const ItemState& state(ItemId id) const { return state_of(states_, id); }
    bool reached(ItemId id) const { return state(id).reached(); }
    bool exam_passed() const { return facts_.exam_passed.has_value() || reached(known_item::exam_passed); }
    bool grant_ticked() const { return reached(known_item::grant_visible); }
    bool grant_seen() const { return papers_.grant.has_value() || grant_ticked(); }

    // The fee's last day has gone by, or the certificate is good for no application any more.
    bool is_too_late(ItemId id) const {
        if (papers_.certificate_over) return certificate_checked <= id && id <= filed_again;
        return papers_.fee_missed && id == known_item::fee_paid;
    }

    bool overtaken(const Item& item) const {
        if (item.safety) return false;
        if (is_too_late(item.id)) return true;
        return std::any_of(overtaken_by.begin(), overtaken_by.end(), [&](const Overtaken& row) {
            bool by = reached(row.by);
            if (row.by == known_item::exam_passed) by = exam_passed();
            // A licence that lapsed keeps its tick, and its holder begins with the exam again.
            if (row.by == known_item::grant_visible)
                by = row.first.stage < 4 ? papers_.grant.has_value() : grant_seen();
            return by && row.first <= item.id && item.id <= row.last;
        });
    }

    // A case that may never come has come.
    bool is_needed(ItemId id) const { return id == filed_again && papers_.fee_missed && !papers_.certificate_over; }

    bool is_own(const Item& item) const { return may_tick_roles(edition_, item).has(Role::newcomer); }

    // What must stand before a minor is paired is not passed over, whoever set it aside.
    static bool needs_doing(const Item& item, const ItemState& now) {
        if (item.gate == ItemGate::minor && now.set_aside) return !now.reached();
        return now.needs_doing();
    }

    // Needs doing, and is neither behind the person nor a case that may never come.
    bool on_the_way(const Item& item) const {
        const ItemState& now = state(item.id);
        if (!applies_to(item, facts_.under_18) || !needs_doing(item, now) || overtaken(item)) return false;
        return !item.only_if_needed || now.assigned || now.phase == Phase::reopened || is_needed(item.id);
    }

    // Another's tick holds nobody up, but for the two that must stand before a minor is paired.
    bool holds_stage(const Item& item) const {
        return on_the_way(item) && (is_own(item) || item.gate == ItemGate::minor);
    }

    void look_at(const Item& item, Progress& out) const {
        if (!out.current_stage && holds_stage(item)) out.current_stage = item.id.stage;
        const std::optional<Day> day = state(item.id).reached_on();
        if (item.kind != ItemKind::milestone || !day) return;
        out.furthest_stage = item.id.stage;
        if (!out.last_milestone || *out.last_milestone < *day) out.last_milestone = day;
    }

    StageCount count(std::uint8_t stage) const {
        StageCount out;
        out.stage = stage;
        for (const Item& item : edition_.items) {
            if (item.id.stage != stage || !applies_to(item, facts_.under_18)) continue;
            ++out.all;
            int StageCount::*const counters[] = {&StageCount::open,      &StageCount::ticked,   &StageCount::is_signed,
                                                 &StageCount::withdrawn, &StageCount::reopened, &StageCount::resting,
                                                 &StageCount::skipped};
            ++(out.*counters[static_cast<std::size_t>(state(item.id).phase)]);
        }
        return out;
    }

    // --- next step

    // `item`, or what stands before it; empty if only others can open the way to it.
    std::optional<NextStep> step(const Item& item, Reason reason, std::string why) const {
        const bool is_waited_for = exam_passed() && !papers_.grant;
        if (item.id == known_item::grant_visible && is_waited_for) return {};  // looked for while waiting
        if (item.gate != ItemGate::grant) return NextStep{item.id, reason, std::move(why)};
        if (!grant_ticked()) return {};
        const Item* sheet = edition_.find(exposure_sheet_for(edition_, item.id.stage));
        if (sheet == nullptr || item.id == known_item::grant_and_frequency_checked) {
            return NextStep{item.id, reason, std::move(why)};
        }
        if (!state(sheet->id).reached()) {
            return NextStep{
                sheet->id, Reason::safety_first,
                "The exposure of a station is worked out before it sends; then comes " + to_text(item.id) + "."};
        }
        if (!state(sheet->id).confirmed_by_another(facts_.owner)) return {};  // waits for the signature
        return NextStep{item.id, reason, std::move(why)};
    }

    template <class Pick>
    std::optional<NextStep> first(Reason reason, const std::string& why, Pick pick) const {
        for (const Item& item : edition_.items) {
            if (!on_the_way(item) || !pick(item)) continue;
            if (auto found = step(item, reason, why)) return found;
        }
        return {};
    }

    // What was done and stands, and is about safety: after its time it is done and ticked anew.
    std::optional<NextStep> lapsed() const {
        if (!papers_.today) return {};
        for (const Item& item : edition_.items) {
            const ItemState& now = state(item.id);
            if (!item.safety || !is_own(item) || !applies_to(item, facts_.under_18) || now.set_aside) continue;
            const std::optional<Day> day = recheck_day(item, now);
            if (!day || *day > *papers_.today) continue;
            const Day last = *day + -*days_between_looks(item.recheck);
            return NextStep{item.id, Reason::reopened,
                            "Last looked at on " + to_iso(last) +
                                "; safety is looked at again after a time. Do it anew, and tick it with the new day."};
        }
        return {};
    }

    std::optional<NextStep> next() const {
        const auto minor = [](const Item& item) { return item.gate == ItemGate::minor; };
        const auto fee = [&](const Item& item) {
            const bool runs = facts_.fee_notice && !facts_.fee_paid && !grant_seen();
            return item.id == known_item::fee_paid && runs;
        };
        const auto missed = [&](const Item& item) { return is_needed(item.id); };
        const auto shown = [&](const Item& item) {
            return item.id == known_item::grant_visible && papers_.grant.has_value();
        };
        const auto assigned = [&](const Item& item) { return is_own(item) && state(item.id).assigned.has_value(); };
        const auto again = [&](const Item& item) {
            return is_own(item) && item.safety && state(item.id).phase == Phase::reopened;
        };
        const auto any = [&](const Item& item) { return is_own(item); };
        if (auto found =
                first(Reason::minor_first,
                      "Under 18 this comes before being matched; a guardian and a second adult see to it.", minor)) {
            return found;
        }
        if (auto found =
                first(Reason::deadline, "The regulator's fee has a last day; unpaid, the application ends.", fee)) {
            return found;
        }
        if (auto found = first(Reason::deadline,
                               "The fee's last day has gone by. If it was paid, tick 04.03 with the day; if not, the "
                               "certificate can be filed again while it counts.",
                               missed)) {
            return found;
        }
        if (auto found = first(Reason::safety_first,
                               "The register shows your licence. Ticked with your call sign, this lets you write down "
                               "what you send under it.",
                               shown)) {
            return found;
        }
        if (auto found = first(Reason::assigned, "Your mentor asked for this one next.", assigned)) return found;
        if (auto found =
                first(Reason::reopened, "Something changed, so this is looked at again before you send.", again)) {
            return found;
        }
        if (auto found = lapsed()) return found;
        return first(Reason::next_in_order, "It is the next one on the way.", any);
    }

    // --- waiting for

    bool waits_for_signature(const Item& item, const ItemState& now) const {
        if (!applies_to(item, facts_.under_18) || item.signs == SignWord::none || !now.tick) return false;
        if (now.phase == Phase::ticked) return true;
        return now.phase == Phase::is_signed && (!now.confirmed_by_another(facts_.owner) || is_done_anew(item, now));
    }

    // Ticked again after the time for which the latest signature stood.
    static bool is_done_anew(const Item& item, const ItemState& now) {
        const auto days = days_between_looks(item.recheck);
        return days && std::all_of(now.signatures.begin(), now.signatures.end(),
                                   [&](const Mark& mark) { return now.tick->day >= mark.day + *days; });
    }

    void add_signatures(std::vector<Waiting>& out) const {
        for (const Item& item : edition_.items) {
            const ItemState& now = state(item.id);
            if (!waits_for_signature(item, now)) continue;
            const RoleSet signers = may_sign_roles(edition_, item, facts_.under_18);
            out.push_back({Awaited::signature, item.id, now.tick->day, item.signs,
                           "Ticked on " + to_iso(now.tick->day) + ", waiting for " + to_words(signers) +
                               " to sign: " + item.text + "."});
        }
    }

    // Where the pass is known, so is what belongs to it: a tick of an application that ended says nothing of this one.
    std::optional<Day> of_this_pass(std::optional<Day> known, ItemId ticked) const {
        if (known || facts_.exam_passed) return known;
        return state(ticked).reached_on();
    }

    void add_papers(std::vector<Waiting>& out) const {
        if (grant_seen() || papers_.certificate_over) return;
        const std::optional<Day> paid = of_this_pass(facts_.fee_paid, known_item::fee_paid);
        const std::optional<Day> noticed = of_this_pass(facts_.fee_notice, known_item::fee_notice_seen);
        const std::optional<Day> passed = of_this_pass(facts_.exam_passed, known_item::exam_passed);
        if (paid) {
            out.push_back({Awaited::grant, known_item::grant_visible, *paid, SignWord::none,
                           "The fee was paid on " + to_iso(*paid) +
                               "; the regulator now grants the call sign. Tick 04.06 when the register shows it."});
        } else if (passed && !noticed) {
            out.push_back({Awaited::fee_notice, known_item::fee_notice_seen, *passed, SignWord::none,
                           "The exam was passed on " + to_iso(*passed) +
                               "; the regulator now sends the fee notice. Look in the junk mail as well."});
        }
    }

    std::vector<Waiting> waiting() const {
        std::vector<Waiting> out;
        const ItemState& agreed = state(known_item::guardian_agrees);
        const bool second_named = reached(known_item::second_adult_named);
        if (facts_.under_18 && agreed.reached() && !second_named) {
            out.push_back({Awaited::second_adult, known_item::second_adult_named, *agreed.reached_on(), SignWord::none,
                           "The guardian agreed; now the club names a second adult."});
        }
        if (facts_.asked_for_mentor) {
            out.push_back({Awaited::mentor,
                           {},
                           *facts_.asked_for_mentor,
                           SignWord::none,
                           "You asked for a hand on " + to_iso(*facts_.asked_for_mentor) +
                               "; no mentor is on the path now. 'ladderline invite path' lets one in."});
        }
        if (facts_.asked_mentor) {
            out.push_back({Awaited::mentor_reply,
                           {},
                           *facts_.asked_mentor,
                           SignWord::none,
                           "You asked your mentor on " + to_iso(*facts_.asked_mentor) + "."});
        }
        add_papers(out);
        add_signatures(out);
        std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.since < b.since; });
        return out;
    }

    const Edition& edition_;
    const States& states_;
    const WayFacts& facts_;
    const Papers& papers_;
};

}  // namespace

bool applies_to(const Item& item, bool under_18) {
    return item.applies == AppliesTo::all || under_18;
}

Progress progress(const Edition& edition, const States& states, const WayFacts& facts) {
    return progress(edition, states, facts, Papers{});
}

Progress progress(const Edition& edition, const States& states, const WayFacts& facts, const Papers& papers) {
    return Walk(edition, states, facts, papers).result();
}

std::optional<Day> recheck_day(const Item& item, const ItemState& state) {
    const auto days = days_between_looks(item.recheck);
    if (!days || !state.reached()) return {};
    Day latest = state.tick ? state.tick->day : state.signature->day;
    for (const Mark& mark : state.signatures) latest = std::max(latest, mark.day);
    return latest + *days;
}

std::vector<ItemId> rechecks_due(const Edition& edition, const States& states, Day today) {
    std::vector<ItemId> out;
    for (const Item& item : edition.items) {
        const std::optional<Day> day = recheck_day(item, state_of(states, item.id));
        if (day && *day <= today) out.push_back(item.id);
    }
    return out;
}

}  // namespace ladderline::domain
