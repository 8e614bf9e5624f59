#include "node/commands/pair_tables.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "node/commands/meetings.hpp"
#include "node/commands/way.hpp"
#include "node/domain/radio/path.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::int32_t pairing_days = 365;  // a clearance must hold so long
constexpr std::int32_t weeks_ahead = 4;
constexpr std::string_view any_language = "not said";  // who names no language is taken to share everybody's

domain::ClassRank rank_of(const std::optional<CardBody>& card) {
    if (!card || card->licence_class.empty()) return domain::ClassRank::none;
    switch (card->licence_class.front()) {
        case 'N':
            return domain::ClassRank::novice;
        case 'T':
            return domain::ClassRank::technician;
        case 'G':
            return domain::ClassRank::general;
        case 'A':
            return domain::ClassRank::advanced;
        case 'E':
            return domain::ClassRank::extra;
        default:
            return domain::ClassRank::none;
    }
}

std::vector<std::string> as_set(std::vector<std::string> values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end()), values.end());
    return values;
}

Whereabouts whereabouts_of(const PersonView& person, Day today) {
    Whereabouts out;
    if (!person.card) return out;
    if (!person.card->windows.empty()) {
        auto spans = domain::to_instants(availability(person), today, weeks_ahead * 7);
        if (spans) out.times = std::move(spans).value();
    }
    const auto locator = domain::Locator::parse(person.card->locator);
    if (locator) out.locator = locator.value();
    return out;
}

std::int32_t days_waiting(const ClubNewcomer& newcomer, Day today) {
    std::optional<Day> since = newcomer.in_club_since;
    if (newcomer.row && newcomer.row->row.help_since) since = newcomer.row->row.help_since;
    return since ? std::max(0, days_between(*since, today)) : 0;
}

std::string id_of(const PersonView& person) {
    return to_hex(person.id.view());
}

// What this node sees of the adults around somebody under 18.
struct AdultsSeen {
    std::string gate;  // why nothing may be agreed yet; empty if it may
    std::optional<domain::Group> group;
};

AdultsSeen adults_of(Context& context, const ClubNewcomer& newcomer) {
    AdultsSeen out;
    if (!newcomer.is_minor) return out;
    const auto gate = adults_on_path(context, newcomer);
    if (!gate) out.gate = gate.error().sentence();
    const auto all = circles(context.db);
    if (!all) return out;
    for (const CircleView& circle : all.value()) {
        if (circle.kind != CircleKind::path || circle.founder != newcomer.person.id) continue;
        auto view = way_of(context, circle);
        if (view) out.group = std::move(view).value().group;
    }
    return out;
}

class TablesMaker {
public:
    TablesMaker(Context& context, const ClubPeople& people, const PairState& state, Day today)
        : context_(context), people_(people), state_(state), today_(today), ends_(today + pairing_days) {
        out_.people = &people;
        out_.state = &state;
        out_.today = today;
    }

    PairTables make(Tabled who) {
        out_.mentors = mentors_of(people_);
        take_adults();
        take_newcomers(who);
        take_mentors(who);
        domain::HardRules rules;
        rules.today = today_;
        rules.pairing_ends = ends_;
        out_.table = domain::build_pairing(
            out_.newcomer_facts, out_.mentor_facts, [&](std::size_t i, std::size_t j) { return out_.facts(i, j); },
            rules);
        for (std::size_t i = 0; i < out_.present.size(); ++i) keep_candidate(i);
        return std::move(out_);
    }

private:
    // Everybody whose clearance through the pairing was noted here, whatever their seat.
    void take_adults() {
        for (const auto& [id, person] : people_.all) {
            const ClearedAdult* cleared = state_.clearance_of(id);
            if (person.is_minor || cleared == nullptr || cleared->until < ends_ || cleared->beside == 0) continue;
            out_.adults.push_back(&person);
            out_.second.places.push_back(cleared->beside);
        }
        for (const PersonView* mentor : out_.mentors) {
            const auto found = std::find(out_.adults.begin(), out_.adults.end(), mentor);
            out_.second.adult_of_mentor.push_back(
                found == out_.adults.end() ? domain::nobody : static_cast<std::int32_t>(found - out_.adults.begin()));
        }
    }

    void take_newcomers(Tabled who) {
        std::set<MemberId> asked;
        for (const PairingView& pair : state_.open()) asked.insert(pair.newcomer);
        std::map<MemberId, std::vector<MemberId>> not_taken_up;
        for (const PairingView& pair : state_.pairs) {
            if (state_.is_not_taken_up(pair, today_)) not_taken_up[pair.newcomer].push_back(pair.mentor);
        }
        std::vector<domain::PairingNewcomer> facts;
        std::map<std::string, const ClubNewcomer*> by_id;
        for (const ClubNewcomer& newcomer : people_.newcomers) {
            if (newcomer.is_resting || (newcomer.mentor && who == Tabled::without_mentor)) continue;
            if (newcomer.mentor && out_.number_of(*newcomer.mentor) == domain::nobody) continue;  // somebody outside
            if (asked.contains(newcomer.person.id)) continue;
            facts.push_back(facts_of(newcomer));
            by_id[facts.back().id] = &newcomer;
        }
        domain::sort_by_waiting(facts);
        for (domain::PairingNewcomer& one : facts) {
            const ClubNewcomer& newcomer = *by_id.at(one.id);
            out_.newcomers.push_back(&newcomer);
            out_.not_taken_up.push_back(not_taken_up[newcomer.person.id]);
            out_.newcomer_places.push_back(whereabouts_of(newcomer.person, today_));
            out_.present.push_back(newcomer.mentor ? out_.number_of(*newcomer.mentor) : domain::nobody);
            take_adults_of(newcomer, one);
            out_.newcomer_facts.push_back(std::move(one));
        }
    }

    domain::PairingNewcomer facts_of(const ClubNewcomer& newcomer) const {
        domain::PairingNewcomer out;
        out.id = id_of(newcomer.person);
        out.days_waiting = days_waiting(newcomer, today_);
        out.comes_first = !newcomer.mentor && state_.left_alone(newcomer.person.id);
        out.class_held = rank_of(newcomer.person.card);
        out.languages = {std::string(any_language)};
        if (newcomer.person.card) {
            out.bands_and_modes = as_set(newcomer.person.card->bands);
            out.goals = as_set(newcomer.person.card->topics);
        }
        if (newcomer.row && !newcomer.row->row.help_topic.empty() && out.goals.empty()) {
            out.goals = {newcomer.row->row.help_topic};
        }
        out.is_minor = newcomer.is_minor;
        const PairingWishBody* wish = state_.wish_of(newcomer.person.id);
        if (wish == nullptr) return out;
        if (!wish->languages.empty()) out.languages = wish->languages;
        if (!wish->goals.empty()) out.goals = as_set(wish->goals);
        out.accepts_remote = wish->remote;
        out.accepts_written_only = wish->written;
        if (wish->km_max) out.distance_km_max = *wish->km_max;
        return out;
    }

    // Under 18 with gate 1 open: those on the path. With a guardian's agreement alone: adults of the club may be
    // proposed to stand beside. With neither, nobody.
    void take_adults_of(const ClubNewcomer& newcomer, domain::PairingNewcomer& facts) {
        const AdultsSeen seen = adults_of(context_, newcomer);
        out_.gate.push_back(seen.gate);
        out_.second.may_be.emplace_back();
        if (!newcomer.is_minor || !seen.group) return;
        domain::Group group = *seen.group;
        const bool is_open = seen.gate.empty();
        const bool agreed = group.guardian_agreed_on && (!group.consent_until || *group.consent_until >= today_);
        if (!is_open && !agreed) return;
        facts.safeguards.guardian_consent_until = group.consent_until.value_or(ends_);
        for (const domain::Seat& seat : group.seats) {
            if (is_open && seat.role == domain::Role::second_adult) {
                facts.safeguards.second_adults.push_back({to_hex(to_protocol(seat.person).view()), ends_});
            }
        }
        if (is_open) return;
        for (std::uint32_t a = 0; a < out_.adults.size(); ++a) {
            const auto person = to_domain(out_.adults[a]->id);
            const bool has_seat = std::any_of(group.seats.begin(), group.seats.end(),
                                              [&](const domain::Seat& seat) { return seat.person == person; });
            if (has_seat) continue;
            out_.second.may_be.back().push_back(a);
            facts.safeguards.second_adults.push_back({id_of(*out_.adults[a]), ends_});
        }
    }

    void take_mentors(Tabled who) {
        std::vector<std::string> spoken{std::string(any_language)};
        for (const WishView& view : state_.wishes) {
            spoken.insert(spoken.end(), view.wish.languages.begin(), view.wish.languages.end());
        }
        const auto asked = state_.open();
        for (std::size_t j = 0; j < out_.mentors.size(); ++j) {
            const PersonView& mentor = *out_.mentors[j];
            domain::PairingMentor facts = facts_of(mentor, spoken);
            const auto waiting = std::count_if(asked.begin(), asked.end(),
                                               [&](const PairingView& pair) { return pair.mentor == mentor.id; });
            facts.places = std::max(0, free_places_of(people_, mentor) - static_cast<std::int32_t>(waiting));
            if (state_.out_of_reach(mentor.id)) facts.places = 0;
            if (who == Tabled::everybody) {
                facts.places += static_cast<std::int32_t>(
                    std::count(out_.present.begin(), out_.present.end(), static_cast<std::int32_t>(j)));
            }
            out_.mentor_facts.push_back(std::move(facts));
            out_.mentor_places.push_back(whereabouts_of(mentor, today_));
        }
    }

    domain::PairingMentor facts_of(const PersonView& mentor, const std::vector<std::string>& spoken) const {
        domain::PairingMentor out;
        out.id = id_of(mentor);
        out.class_held = rank_of(mentor.card);
        if (mentor.card) {
            out.bands_and_modes = as_set(mentor.card->bands);
            out.goals = as_set(mentor.card->topics);
        }
        if (const ClearedAdult* cleared = state_.clearance_of(mentor.id)) out.cleared_until = cleared->until;
        const PairingWishBody* wish = state_.wish_of(mentor.id);
        out.languages = wish == nullptr || wish->languages.empty() ? spoken : wish->languages;
        if (wish == nullptr) return out;
        out.languages.emplace_back(any_language);
        out.accepts_remote = wish->remote;
        out.accepts_written_only = wish->written;
        if (wish->km_max) out.distance_km_max = *wish->km_max;
        return out;
    }

    // The present mentor of a newcomer is a candidate whatever the rules say of a new pair.
    void keep_candidate(std::size_t i) {
        if (out_.present[i] == domain::nobody) return;
        const auto mentor = static_cast<std::uint32_t>(out_.present[i]);
        domain::Choices& choices = out_.table.choices[i];
        const auto out = std::find_if(choices.ruled_out.begin(), choices.ruled_out.end(),
                                      [&](const domain::RuledOut& one) { return one.mentor == mentor; });
        if (out == choices.ruled_out.end()) return;
        const domain::PairCost cost =
            domain::cost_of_pair(out_.newcomer_facts[i], out_.mentor_facts[mentor], out_.facts(i, mentor));
        choices.candidates.push_back({mentor, cost});
        out_.table.problem.candidates[i].push_back({mentor, cost.cost});
    }

    Context& context_;
    const ClubPeople& people_;
    const PairState& state_;
    Day today_;
    Day ends_;
    PairTables out_;
};

// Struck out of the table: pairs for which nobody could stand beside.
void strike_out(domain::Choices& choices, std::uint32_t mentor) {
    std::erase_if(choices.candidates, [&](const domain::Candidate& one) { return one.mentor == mentor; });
    choices.ruled_out.push_back({mentor, domain::WhyNots(domain::WhyNot::no_second_adult)});
}

}  // namespace

domain::PairFacts PairTables::facts(std::size_t newcomer, std::size_t mentor) const {
    const Whereabouts& a = newcomer_places[newcomer];
    const Whereabouts& b = mentor_places[mentor];
    domain::PairFacts out;
    if (a.times && b.times) {
        std::int64_t minutes = 0;
        for (const domain::TimeSpan& span : domain::common_spans(*a.times, *b.times, 1)) minutes += span.minutes();
        out.weekly_common_minutes = static_cast<double>(minutes) / weeks_ahead;
    }
    if (a.locator && b.locator) out.apart = domain::apart(*a.locator, *b.locator);
    const MemberId& who = newcomers[newcomer]->person.id;
    out.blocked_by_officer = state->kept_apart(who, mentors[mentor]->id);
    const std::vector<MemberId>& shut = not_taken_up[newcomer];
    out.not_taken_up = std::find(shut.begin(), shut.end(), mentors[mentor]->id) != shut.end();
    return out;
}

bool PairTables::needs_adults() const {
    return std::any_of(second.may_be.begin(), second.may_be.end(), [](const auto& some) { return !some.empty(); });
}

std::int32_t PairTables::number_of(const MemberId& mentor) const {
    const auto found = std::lower_bound(mentors.begin(), mentors.end(), mentor,
                                        [](const PersonView* one, const MemberId& id) { return one->id < id; });
    if (found == mentors.end() || (*found)->id != mentor) return domain::nobody;
    return static_cast<std::int32_t>(found - mentors.begin());
}

PairTables pair_tables(Context& context, const ClubPeople& people, const PairState& state, Tabled who) {
    return TablesMaker(context, people, state, context.today()).make(who);
}

Proposed solve_proposal(Context& context, const ClubPeople& people, const PairState& state) {
    Proposed out;
    out.tables = pair_tables(context, people, state, Tabled::without_mentor);
    if (out.tables.needs_adults()) {
        auto solved = domain::solve_with_adults(out.tables.table.problem, out.tables.second);
        for (const domain::UnsettledPair& pair : solved.struck_out) {
            strike_out(out.tables.table.choices[pair.newcomer], pair.mentor);
        }
        out.tables.table.problem = std::move(solved.problem);
        out.assignment = std::move(solved.assignment);
        out.adult_of = std::move(solved.adult_of);
        out.unsettled = std::move(solved.unsettled);
    } else {
        out.assignment = domain::solve_pairing(out.tables.table.problem);
        out.adult_of.assign(out.tables.newcomers.size(), domain::nobody);
    }
    ENSURE(domain::certificate_holds(out.tables.table.problem, out.assignment));
    return out;
}

std::string common_languages(const PairTables& tables, std::size_t newcomer, std::size_t mentor) {
    const PairingWishBody* a = tables.state->wish_of(tables.newcomers[newcomer]->person.id);
    const PairingWishBody* b = tables.state->wish_of(tables.mentors[mentor]->id);
    if (a == nullptr || b == nullptr) return {};
    std::string out;
    for (const std::string& language : a->languages) {
        const bool is_common = std::find(b->languages.begin(), b->languages.end(), language) != b->languages.end();
        if (is_common) out += (out.empty() ? "" : ", ") + language;
    }
    return out;
}

}  // namespace ladderline::node
