#include "node/commands/class_view.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "node/commands/club_shares.hpp"
#include "node/commands/exam.hpp"
#include "node/commands/own_clubs.hpp"
#include "node/commands/study_pools.hpp"
#include "node/domain/review/small_counts.hpp"
#include "node/read_models/desk_views.hpp"
#include "protocol/base/letters.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr double weak_recall = 0.7;  // on the exam day, else this many days on
constexpr double ahead_days = 7;
constexpr int group_min = 5;

Result<CircleView> club_named(Context& context, const std::string& name) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    if (name.empty() || lower(name) == "club") return club;
    TRY(const auto all, own_clubs(context));
    std::vector<CircleView> found;
    for (const CircleView& one : all) {
        if (lower(one.name).find(lower(name)) != std::string::npos) found.push_back(one);
    }
    if (found.size() == 1) return found.front();
    if (found.size() > 1) return club_called(context, name);
    return Error{Fault::not_found, "Your club is called " + club.name + ", and study is shown to a club alone."};
}

std::string cut_to(std::string text, std::size_t bytes_max) {
    while (text.size() > bytes_max || !is_utf8(text)) text.pop_back();
    return text;
}

// Groups of which something was answered, and those remembered too little.
void fill_groups(StudyShareBody& body, const StudyPool& study, const domain::StudyMemory& memory, double at) {
    std::vector<double> recall(study.pool.groups.size(), 0);
    std::vector<int> seen(study.pool.groups.size(), 0);
    for (int k = 0; k < memory.shape().question_count(); ++k) {
        if (!memory.seen(k)) continue;
        const auto group = static_cast<std::size_t>(study.pool.questions[static_cast<std::size_t>(k)].group);
        recall[group] += memory.recall(k, at);
        seen[group] += 1;
    }
    for (std::size_t g = 0; g < seen.size() && body.groups.size() < limits::list_max; ++g) {
        if (seen[g] == 0) continue;
        body.groups.push_back(study.pool.groups[g].id);
        if (recall[g] / seen[g] < weak_recall) body.weak.push_back(study.pool.groups[g].id);
    }
}

// As it is shown: its title, and the years that tell editions of one title apart.
std::string edition_words(const domain::Pool& pool) {
    std::string years;
    if (pool.first_year && pool.last_year) {
        years = " " + std::to_string(*pool.first_year) + "-" + std::to_string(*pool.last_year);
    }
    return cut_to(pool.title, limits::name_bytes_max - years.size()) + years;
}

Result<StudyShareBody> share_now(Context& context, int element) {
    TRY(const StudyPool study, chosen_pool(context, {element}));
    TRY(const auto records, study_records(context, study));
    const auto memory = domain::StudyMemory::replay(domain::shape_of(study.pool), records);
    StudyShareBody body;
    body.pool = std::to_string(study.pool.element);
    body.edition = edition_words(study.pool);
    body.exam_booked = booked_exam(context);
    // Whatever was just answered is remembered now, so that today tells nothing.
    const double at =
        body.exam_booked ? exam_moment(*body.exam_booked, context.now()) : in_days(context.now()) + ahead_days;
    fill_groups(body, study, memory, at);
    for (const domain::StudyAnswer& record : records) {
        if (record.outcome == domain::Outcome::corrected) continue;
        body.last_practice = Day{static_cast<std::int32_t>(std::floor(record.day))};
    }
    return body;
}

struct Standing {
    ShownView view;
    StudyShareBody share;
};

Result<std::vector<Standing>> standing_shares(Context& context, const CircleId& club) {
    TRY(auto all, shown(context.db, club, kind::study_share));
    std::vector<Standing> out;
    for (ShownView& view : all) {
        auto share = read_payload<StudyShareBody>(view.payload);
        if (share && !share->pool.empty()) out.push_back({std::move(view), std::move(*share)});
    }
    return out;
}

Result<EventId> say_share(Context& context, const CircleId& club, const StudyShareBody& body) {
    TRY(const auto before, shown(context.db, club, kind::study_share));
    std::vector<EventId> supersedes;
    for (const ShownView& view : before) {
        if (view.by == context.me.id()) supersedes.push_back(view.id);
    }
    return say(context, club, kind::study_share, codec::encode(body), std::move(supersedes));
}

// Somebody under 18 shows nothing to a club before a guardian agreed on their path.
Result<void> may_publish(Context& context, const CircleView& club) {
    TRY(const PersonView me, myself(context, club.id));
    if (!me.is_minor) return ok();
    const auto own = way(context, "");
    if (!own) {
        return Error{Fault::refused,
                     "Under 18, study is shown only on a path that a guardian agreed to; begin yours first."};
    }
    return domain::group_complete(own.value().group, context.today());
}

// The pool that most of them study; of two, the one that stands first in the order of names.
std::pair<std::string, std::string> most_common(const std::vector<Standing>& shares) {
    std::map<std::pair<std::string, std::string>, int> counts;
    for (const Standing& s : shares) counts[{s.share.pool, s.share.edition}] += 1;
    std::pair<std::string, std::string> out;
    int best = 0;
    for (const auto& [pool, count] : counts) {
        if (count > best) {
            out = pool;
            best = count;
        }
    }
    return out;
}

void count_weak(Context& context, ClassView& out, const std::vector<Standing>& shares) {
    const auto [pool, edition] = most_common(shares);
    out.edition = edition;
    std::map<std::string, int> weak;
    int people = 0;
    for (const Standing& s : shares) {
        if (s.share.pool != pool || s.share.edition != edition) continue;
        people += 1;
        out.as_of = std::min(out.as_of.value_or(s.view.said), s.view.said);
        for (const std::string& group : s.share.weak) weak[group] += 1;
    }
    out.people = domain::fewer_than_five(people);
    if (people < group_min) {
        out.weak_note = "Fewer than five show their study of one pool, so nothing is counted.";
        return;
    }
    std::vector<std::pair<int, std::string>> order;
    for (const auto& [group, count] : weak) {
        if (count >= group_min) order.emplace_back(-count, group);
    }
    std::sort(order.begin(), order.end());
    const auto study = chosen_pool(context, {std::atoi(pool.c_str())});
    for (const auto& [count, group] : order) {
        ClassGroup line{group, "", domain::fewer_than_five(-count)};
        if (study && edition_words(study.value().pool) == edition) {
            for (const auto& g : study.value().pool.groups) {
                if (g.id == group) line.title = g.title;
            }
        }
        out.weak.push_back(std::move(line));
    }
    out.weak_note = out.weak.empty() ? "No group is weak for five or more."
                                     : "Groups that are weak for fewer than five are not shown.";
}

void name_people(Context& context, ClassView& out, const std::vector<Standing>& shares,
                 const std::vector<PersonView>& persons) {
    bool minors = false;
    for (const Standing& s : shares) {
        const auto person =
            std::find_if(persons.begin(), persons.end(), [&](const PersonView& p) { return p.id == s.view.by; });
        if (person == persons.end()) continue;
        const bool is_booked = s.share.exam_booked && *s.share.exam_booked >= context.today();
        const bool rests = person->card && person->card->resting;
        const bool is_quiet =
            s.share.last_practice && !is_booked && !rests &&
            days_between(*s.share.last_practice, context.today()) >= domain::shipped_clocks().quiet_days;
        if (person->is_minor) {
            minors = minors || is_booked || is_quiet;
            continue;
        }
        if (is_booked) out.booked.push_back({person->name, *s.share.exam_booked});
        if (is_quiet) out.ask.push_back({person->name, *s.share.last_practice});
    }
    const auto by_day = [](const ClassPerson& a, const ClassPerson& b) {
        return std::tie(a.day, a.name) < std::tie(b.day, b.name);
    };
    std::sort(out.booked.begin(), out.booked.end(), by_day);
    std::sort(out.ask.begin(), out.ask.end(), by_day);
    if (minors) out.minors_note = "Nobody under 18 is named here; ask with their guardian or mentor.";
}

// Once a day.
Result<void> renew_in(Context& context, const CircleView& club, int element) {
    if (!may_publish(context, club)) return ok();
    TRY(const auto shares, standing_shares(context, club.id));
    for (const Standing& s : shares) {
        if (s.view.by == context.me.id() && utc_day(s.view.said) == context.today()) return ok();
    }
    const auto body = share_now(context, element);
    if (!body) return ok();  // the pool was taken away
    TRY(say_share(context, club.id, body.value()));
    return ok();
}

}  // namespace

Result<Done> publish_study(Context& context, const PublishRequest& request) {
    TRY(const CircleView club, club_named(context, request.circle));
    TRY(may_publish(context, club));
    TRY(const StudyPool study, chosen_pool(context, {request.element}));
    if (study.pool.element == 0) {
        return Error{Fault::bad_input,
                     "Practice items are no exam's pool; take a published pool in first, with practise --pool FILE."};
    }
    TRY(const StudyShareBody body, share_now(context, study.pool.element));
    TRY(const EventId id, say_share(context, club.id, body));
    TRY(note_share(context, study_share, club.id, body.pool));
    return Done{"The members of " + club.name + " now hold which of your " + std::to_string(body.groups.size()) +
                    " practised groups are weak, your booked exam, and the day you last practised; its teachers see "
                    "groups only as counts of five or more people. It is renewed on days of practice. Stop it with "
                    "practise --unpublish; what was synced cannot be called back.",
                id};
}

Result<Done> stop_publishing(Context& context) {
    TRY(end_shares(context, study_share));
    TRY(own_circle(context, CircleKind::club));
    TRY(const auto clubs, own_clubs(context));
    EventId id;
    for (const CircleView& club : clubs) {
        TRY(const auto shares, standing_shares(context, club.id));
        const auto is_own = [&](const Standing& s) { return s.view.by == context.me.id(); };
        if (std::none_of(shares.begin(), shares.end(), is_own)) continue;
        TRY(id, say_share(context, club.id, StudyShareBody()));
    }
    return Done{
        "Your study is shown to nobody any more. What others have synced before may still be on their machines.", id};
}

Result<void> renew_study_share(Context& context) {
    TRY(const auto noted, noted_shares(context, study_share));
    for (const NotedShare& share : noted) {
        TRY(renew_in(context, share.club, std::atoi(share.value.c_str())));
    }
    return ok();
}

Result<ClassView> class_view(Context& context) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, myself(context, club.id));
    if (me.role != MemberRole::officer && me.role != MemberRole::mentor) {
        return Error{Fault::refused, "The class is for the club's officers and mentors to look at; ask one of them."};
    }
    TRY(const auto persons, people(context.db, club.id));
    TRY(auto shares, standing_shares(context, club.id));
    std::erase_if(shares, [&](const Standing& s) {
        return std::none_of(persons.begin(), persons.end(), [&](const PersonView& p) { return p.id == s.view.by; });
    });
    ClassView out;
    out.club = club.name;
    count_weak(context, out, shares);
    name_people(context, out, shares, persons);
    return out;
}

}  // namespace ladderline::node
