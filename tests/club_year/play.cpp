#include "tests/club_year/play.hpp"

#include "node/commands/checks.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/contacts.hpp"
#include "node/commands/exam.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/help.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/meetings.hpp"
#include "node/commands/pairing.hpp"
#include "node/commands/review.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"

namespace ladderline::club_year {

using namespace protocol;
using test::must;

namespace {

constexpr std::int64_t minute_ms = 60'000;
constexpr std::int64_t hour_ms = 60 * minute_ms;
constexpr std::uint64_t people_seed = 7'000;

std::vector<WeeklyWindow> every_evening() {
    std::vector<WeeklyWindow> out;
    for (std::uint8_t weekday = 1; weekday <= 7; ++weekday) out.push_back({weekday, 18 * 60, 22 * 60});
    return out;
}

node::CardRequest card_of(const Person& p) {
    node::CardRequest card;
    card.locator = p.locator;
    card.zone = "UTC";
    card.call_sign = p.call;
    card.licence_class = p.licence_class;
    card.room = static_cast<std::uint8_t>(p.room);
    card.topics = p.topics;
    if (p.has_times) card.windows = every_evening();
    return card;
}

}  // namespace

Play::Play(const Story& story, test::SetClock& clock, node::Context& officer)
    : story_(story), clock_(clock), officer_(officer) {
    clock_.now = {start_of(story.first).ms + 6 * hour_ms};
    const Person& p = story.people[first_officer];
    node::BeginRequest request;
    request.name = p.name;
    request.role = p.role;
    request.club = "Example Valley Radio Club";
    must(node::begin(officer_, request));
    ids_[first_officer] = officer_.me.id();
    deciding_ = {first_officer};
    club_ = must(node::own_circle(officer_, CircleKind::club)).id;
}

Play::~Play() = default;

node::Context& Play::node(int who) {
    return who == first_officer ? officer_ : nodes_.at(who)->context;
}

void Play::send(node::Context& from, node::Context& to, const CircleId& circle) {
    for (const LogHead& head : must(from.log.heads(circle))) {
        std::uint64_t next = must(to.log.next_seq(circle, head.log));
        while (next < head.next_seq) {
            must(to.log.append_run(circle, must(from.log.read_run(circle, head.log, next))));
            next = must(to.log.next_seq(circle, head.log));
        }
    }
}

void Play::give_keys(node::Context& from, node::Context& to, const CircleId& circle) {
    store::StoreShelf shelf(from.states, from.log, from.env.random, to.me.noise.pub);
    shelf.set_today(from.today());
    for (bool progress = true; std::exchange(progress, false);) {
        for (const KeyId& key : must(to.log.missing_keys(circle))) {
            const auto copy = must(shelf.copy_for_peer(circle, key, tag_of(key, to.me.certificate.box)));
            if (!copy) continue;
            must(to.log.add_key(circle, must(unwrap(*copy, key, to.me.box))));
            progress = true;
        }
    }
}

void Play::meet_on_path(int newcomer, int other) {
    const CircleId circle = path(newcomer);
    const auto back_and_forth = [&](int from, int to) {
        send(node(from), node(to), circle);
        give_keys(node(from), node(to), circle);
    };
    back_and_forth(newcomer, other);
    back_and_forth(other, newcomer);
}

// The logs of officers and of those who left; of the others a member reads nothing that this story needs.
void Play::send_decisions(int to) {
    std::set<LogId> wanted;
    must(officer_.db.query(
        "SELECT log.log, author.member FROM log JOIN author USING (log_ref) WHERE log.circle = ?1",
        [&](const store::sqlite::Row& row) {
            const auto by = row.fixed<MemberId>(1);
            for (const int who : deciding_) {
                if (ids_.at(who) == by) wanted.insert(row.fixed<LogId>(0));
            }
        },
        club_));
    node::Context& member = node(to);
    for (const LogHead& head : must(officer_.log.heads(club_))) {
        if (!wanted.contains(head.log)) continue;
        std::uint64_t next = must(member.log.next_seq(club_, head.log));
        while (next < head.next_seq) {
            must(member.log.append_run(club_, must(officer_.log.read_run(club_, head.log, next))));
            next = must(member.log.next_seq(club_, head.log));
        }
    }
    give_keys(officer_, member, club_);
}

void Play::collect(int who) {
    if (who != first_officer && has_node(who)) send(node(who), officer_, club_);
}

void Play::begin(int who) {
    const Person& p = story_.people[static_cast<std::size_t>(who)];
    auto& made = nodes_[who];
    made = std::make_unique<test::MemberNode>(clock_, people_seed + static_cast<std::uint64_t>(who));
    node::BeginRequest request;
    request.name = p.name;
    // A second officer begins as nobody's: they found no club of their own.
    request.role = p.role == MemberRole::officer ? MemberRole::mentor : p.role;
    request.under_18 = p.minor;
    must(node::begin(made->context, request));
    ids_[who] = made->id();
    if (p.role == MemberRole::newcomer) paths_[who] = made->circle(CircleKind::path);
}

void Play::let_in(int who) {
    const Person& p = story_.people[static_cast<std::size_t>(who)];
    begin(who);
    node::InviteRequest request;
    request.circle = CircleKind::club;
    request.role = p.role;
    const auto code = must(node::parse_code(must(node::invite(officer_, request)).code));
    const auto welcome = must(node::let_in(officer_, code.id, test::join_message(*nodes_.at(who), p.name, p.minor)));
    if (!welcome.joined) throw std::runtime_error(welcome.refusal);
    must(node::accept_welcome(node(who), *welcome.joined));
    if (p.role == MemberRole::officer) deciding_.insert(who);
    send_decisions(who);
}

// Everybody who was in the club before its year begins, in one step; each shows a card, and says no more.
void Play::let_in_the_others() {
    std::vector<store::NewEvent> admissions;
    std::vector<int> who_all;
    for (int who = first_newcomer + newcomers; who < members; ++who) {
        const Person& p = story_.people[static_cast<std::size_t>(who)];
        begin(who);
        must(node::change_card(node(who), card_of(p)));
        const AdmitBody admit{id(who), p.role, 3, p.name, p.minor, {nodes_.at(who)->me().certificate}};
        admissions.push_back({club_, kind::admit, codec::encode(admit)});
        who_all.push_back(who);
    }
    must(officer_.log.append(admissions, clock_.now));
    for (const int who : who_all) {
        const auto key =
            must(store::key_for_device(officer_.states, officer_.log, club_, node(who).me.noise.pub, officer_.today()));
        must(node(who).log.add_key(club_, key.value()));
        must(node::show_card(node(who), club_));
        collect(who);
        nodes_.erase(who);
    }
}

void Play::take_seat_from_outside(const Act& a) {
    begin(a.other);
    node::InviteRequest request;
    request.circle = CircleKind::path;
    request.role = a.role;
    const auto code = must(node::parse_code(must(node::invite(node(a.who), request)).code));
    const auto welcome = must(
        node::let_in(node(a.who), code.id,
                     test::join_message(*nodes_.at(a.other), story_.people[static_cast<std::size_t>(a.other)].name)));
    if (!welcome.joined) throw std::runtime_error(welcome.refusal);
    must(node::accept_welcome(node(a.other), *welcome.joined));
}

void Play::seat(const Act& a) {
    if (story_.people[static_cast<std::size_t>(a.other)].outside) {
        take_seat_from_outside(a);
    } else {
        must(node::let_onto_path(node(a.who), key(a.other), a.role, 3));
        const auto granted = must(
            store::key_for_device(node(a.who).states, node(a.who).log, path(a.who), node(a.other).me.noise.pub, a.day));
        if (!granted) throw std::runtime_error("no key for the seat");
        must(node(a.other).log.add_key(path(a.who), *granted));
    }
    meet_on_path(a.who, a.other);
    must(node::tell_arrival(node(a.who), path(a.who)));
    seated_[a.who].insert(a.other);
}

void Play::show_study(const Act& a) {
    StudyShareBody body;
    body.pool = "2";
    body.edition = a.text;
    body.groups = {"T1A"};
    body.exam_booked = a.date;
    body.last_practice = a.day;
    std::vector<EventId> before;
    for (const auto& view : must(node::shown(node(a.who).db, club_, kind::study_share))) {
        if (view.by == id(a.who)) before.push_back(view.id);
    }
    must(node::say(node(a.who), club_, kind::study_share, codec::encode(body), std::move(before)));
}

// What one person does on their own node about their own way.
void Play::act_on_path(const Act& a) {
    node::Context& own = node(a.who);
    switch (a.what) {
        case What::tick: {
            node::TickRequest request;
            request.item = a.item;
            request.evidence = a.text;
            request.day = a.date;
            must(node::tick(own, request));
            return;
        }
        case What::reopen:
            must(node::set_aside(own, {a.item, domain::StatementKind::reopen}));
            return;
        case What::contact: {
            node::ContactRequest request;
            request.worked = a.text;
            request.start = *a.date == a.day ? clock_.now : WallTime{start_of(*a.date).ms + 12 * hour_ms};
            request.frequency = "146.52";
            request.mode = "FM";
            request.guest_of = a.guest_of;
            request.another = true;
            must(node::log_contact(own, request));
            return;
        }
        case What::meet: {
            node::MeetRequest request;
            request.start = {start_of(*a.date).ms + 5 * hour_ms};  // before what is said on that day
            request.first_frequency = "146.52";
            request.fallback = "telephone";
            meetings_[a.who] = must(node::meet(own, request)).id;
            return;
        }
        case What::met:
            must(node::meet_outcome(own, {"", to_hex(meetings_.at(a.who).view()), static_cast<MeetOutcome>(a.number)}));
            return;
        case What::ask:
            must(node::ask_for_help(own, a.text, {}));
            return;
        case What::book: {
            node::BookedRequest request;
            request.day = a.date;
            request.element = "2";
            must(node::exam_booked(own, request));
            return;
        }
        default:
            throw std::runtime_error("no act of a path");
    }
}

// What others say to somebody: on their path, or about them in the club.
void Play::act_of_others(const Act& a) {
    switch (a.what) {
        case What::guardian_agrees: {
            node::TickRequest request;
            request.who = key(a.who);
            request.item = "00.05";
            must(node::tick(node(a.other), request));
            break;
        }
        case What::sign:
            meet_on_path(a.who, a.other);
            must(node::sign_off(node(a.other), {key(a.who), a.item, "", {}, "was there"}));
            break;
        case What::touch:
            meet_on_path(a.who, a.other);
            must(node::was_in_touch(node(a.other), key(a.who), {}));
            break;
        case What::pair:
            must(node::agree_pair(officer_, key(a.who), key(a.other)));
            return;
        case What::end_pair:
            must(node::end_pair(officer_, key(a.who), key(a.other)));
            return;
        case What::held:
            must(node::review_held(officer_));
            return;
        case What::checked:
            must(node::note_checked(officer_, key(a.who), {}));
            return;
        default:
            throw std::runtime_error("no act of others");
    }
    meet_on_path(a.who, a.other);
    must(node::tell_arrival(node(a.who), path(a.who)));
}

void Play::show_card(const Act& a) {
    const Person& p = story_.people[static_cast<std::size_t>(a.who)];
    node::CardRequest card;
    if (a.what == What::rest) {
        card.resting = a.number == 1;
    } else if (a.what == What::card) {
        card = card_of(p);
    } else {
        for (const Act& earlier : story_.acts) {
            if (earlier.who == a.who && earlier.item == "04.06" && earlier.what == What::tick)
                card.call_sign = earlier.text;
        }
    }
    must(node::change_card(node(a.who), card));
}

void Play::leave(int who) {
    send_decisions(who);
    must(node::leave_circle(node(who), must(node::own_circle(node(who), CircleKind::club))));
    collect(who);
    deciding_.insert(who);
    must(node::rotate_if_due(officer_, club_));
}

void Play::act(const Act& a) {
    switch (a.what) {
        case What::let_in:
            return let_in(a.who);
        case What::card:
        case What::show_call:
        case What::rest:
            return show_card(a);
        case What::onto_path:
            return seat(a);
        case What::off_path: {
            const auto own = must(node::own_circle(node(a.who), CircleKind::path));
            must(node::remove_person(node(a.who), own, key(a.other), ""));
            seated_[a.who].erase(a.other);
            return;
        }
        case What::share:
            must(node::share_with_club(node(a.who), *a.date));
            return;
        case What::leave:
            return leave(a.who);
        case What::show_study:
            return show_study(a);
        case What::guardian_agrees:
        case What::sign:
        case What::touch:
        case What::pair:
        case What::end_pair:
        case What::held:
        case What::checked:
            return act_of_others(a);
        default:
            return act_on_path(a);
    }
}

void Play::until(Day day) {
    if (next_ == 0) let_in_the_others();
    for (; next_ < story_.acts.size() && story_.acts[next_].day <= day; ++next_) {
        const Act& a = story_.acts[next_];
        if (a.who >= first_newcomer + newcomers && !story_.is_newcomer(a.who)) continue;  // let in already
        clock_.now.ms = std::max(clock_.now.ms + minute_ms, start_of(a.day).ms + 6 * hour_ms);
        act(a);
    }
    clock_.now.ms = std::max(clock_.now.ms, start_of(day).ms + 20 * hour_ms);
    for (const auto& [who, member] : nodes_) {
        if (!story_.people[static_cast<std::size_t>(who)].outside) collect(who);
    }
    for (const auto& [newcomer, helpers] : seated_) {
        if (helpers.contains(first_officer)) meet_on_path(newcomer, first_officer);
    }
}

}  // namespace ladderline::club_year
