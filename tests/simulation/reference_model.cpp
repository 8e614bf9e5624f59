#include "tests/simulation/reference_model.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "node/read_models/row_looks.hpp"
#include "node/read_models/way_views.hpp"
#include "protocol/event/kinds.hpp"
#include "tests/simulation/plain_circle.hpp"

namespace ladderline::simulation {

using namespace protocol;

namespace {

struct Said {
    store::OpenedEvent event;
    std::optional<MemberId> author;  // none: it does not count, or is not shown
    MemberRole role = MemberRole::newcomer;
    std::uint8_t level = 0;  // to which its author may sign
};

struct Logs {
    std::map<LogId, std::uint64_t> until;  // what stands before a fork
    std::map<LogId, std::vector<EventId>> first_ctl;
};

Result<Logs> logs_of(Node& node, const CircleId& circle) {
    Logs out;
    TRY(const auto heads, node.log().heads(circle));
    for (const LogHead& head : heads) out.until[head.log] = head.next_seq;
    TRY(node.db().query(
        "SELECT log.log, event.ctl FROM log JOIN event USING (log_ref) WHERE log.circle = ?1 AND event.seq = 0",
        [&](const store::sqlite::Row& row) -> Result<void> {
            TRY(out.first_ctl[row.fixed<LogId>(0)], codec::decode<std::vector<EventId>>(row.blob(1)));
            return ok();
        },
        circle));
    return out;
}

// Everything readable of the circle that stands before a fork.
Result<std::vector<Said>> all_said(Node& node, const CircleId& circle, const Logs& logs) {
    std::vector<Said> out;
    TRY(node.log().visit_readable([&](const store::OpenedEvent& event) -> Result<void> {
        const auto until = logs.until.find(event.log);
        if (event.circle == circle && until != logs.until.end() && event.seq < until->second)
            out.push_back({event, {}});
        return ok();
    }));
    return out;
}

std::vector<ControlEvent> control_of(const std::vector<Said>& all) {
    std::vector<ControlEvent> out;
    for (const Said& said : all) {
        const store::OpenedEvent& e = said.event;
        if (!kind::is_control(e.body.kind)) continue;
        out.push_back({e.id, e.device, e.log, e.seq, e.ctl, e.body.kind, e.body.payload,
                       has_genuine_certificates(e.body.kind, e.body.payload)});
    }
    return out;
}

// WIRE.md "Taken back".
bool is_taken_back(const CircleState& state, const MemberId& author, const store::OpenedEvent& event) {
    if (event.body.kind == kind::sign || event.body.kind == kind::withdraw) return false;
    const auto member = state.taken_back.find(author);
    if (member == state.taken_back.end()) return false;
    const auto shown_from = member->second.find(event.log);
    return shown_from != member->second.end() && event.seq < shown_from->second;
}

// Whose words count and are shown: WIRE.md "Removal", "Return", "Lost devices", said plainly.
void judge_words(std::vector<Said>& all, const CircleState& state, const Logs& logs) {
    for (Said& said : all) {
        const store::OpenedEvent& e = said.event;
        const auto device = state.devices.find(e.device);
        if (device == state.devices.end()) continue;
        const MemberId& id = device->second.member;
        const Member& member = state.members.at(id);
        const auto within = [&](const Cuts& cuts) {
            const auto cut = cuts.find(e.log);
            return cut != cuts.end() && e.seq <= cut->second.seq;
        };
        bool is_new_log = false;
        const auto back = state.after_return.find(id);
        for (const EventId& link : logs.first_ctl.at(e.log)) {
            is_new_log = is_new_log || (back != state.after_return.end() && back->second.contains(link));
        }
        const auto cuts = state.cuts.find(id);
        if (cuts != state.cuts.end() && !is_new_log && !within(state.cuts_of(id))) continue;
        const auto revoked = state.revoked.find(e.device);
        if (revoked != state.revoked.end() && !within(state.cuts_of(e.device))) continue;
        if (is_taken_back(state, id, e)) continue;
        said.author = id;
        said.role = member.role;
        said.level = member.level;
    }
}

template <class Body>
bool reads(const Said& said, std::uint16_t kind) {
    return said.author && said.event.body.kind == kind && read_payload<Body>(said.event.body.payload).has_value();
}

// The items that a statement is about, as it names them.
std::vector<std::string> items_said(const Said& said) {
    const Bytes& payload = said.event.body.payload;
    if (reads<TickBody>(said, kind::tick)) return {read_payload<TickBody>(payload)->item};
    if (reads<WithdrawBody>(said, kind::withdraw)) return {read_payload<WithdrawBody>(payload)->item};
    if (reads<SetAsideBody>(said, kind::set_aside)) return {read_payload<SetAsideBody>(payload)->item};
    if (reads<AssignBody>(said, kind::assign)) return read_payload<AssignBody>(payload)->items;
    if (!reads<SignBody>(said, kind::sign) || read_payload<SignBody>(payload)->level > said.level) return {};
    return {read_payload<SignBody>(payload)->item};
}

// What no ladder numbers its items by has no place on a way; an item named twice is named.
std::set<std::string> known_items(const Said& said) {
    std::set<std::string> out;
    for (std::string& item : items_said(said)) {
        if (domain::parse_item_id(item)) out.insert(std::move(item));
    }
    return out;
}

using Rows = std::multiset<std::pair<Bytes, std::string>>;  // id or key, what the row says

Bytes key_of(ByteView id) {
    return to_bytes(id);
}
std::string text_of(const MemberId& member, MemberRole role, const HybridTime& time) {
    return to_hex(member.view()) + " " + std::to_string(static_cast<int>(role)) + " " + std::to_string(time.wall.ms) +
           "." + std::to_string(time.count);
}

Rows statement_rows(const std::vector<Said>& all) {
    Rows out;
    for (const Said& said : all) {
        for (const std::string& item : known_items(said)) {
            out.emplace(key_of(said.event.id.view()),
                        item + " " + text_of(*said.author, said.role, said.event.body.time));
        }
    }
    return out;
}

// The newest standing write of each author: none that a counting write of the same author replaces.
Rows shown_rows(const std::vector<Said>& all, std::uint16_t kind) {
    std::map<MemberId, const Said*> newest;
    for (const Said& said : all) {
        const bool is_one = (kind == kind::card && reads<CardBody>(said, kind)) ||
                            (kind == kind::ask && reads<AskBody>(said, kind)) ||
                            (kind == kind::club_row && reads<ClubRowBody>(said, kind));
        const bool is_replaced = std::any_of(all.begin(), all.end(), [&](const Said& later) {
            const auto& old = later.event.body.supersedes;
            return later.author && later.author == said.author &&
                   std::find(old.begin(), old.end(), said.event.id) != old.end();
        });
        if (!is_one || is_replaced) continue;
        const Said*& best = newest[*said.author];
        const auto order = [](const Said& s) { return std::tie(s.event.body.time, s.event.id); };
        if (best == nullptr || order(*best) < order(said)) best = &said;
    }
    Rows out;
    for (const auto& [member, said] : newest) out.emplace(key_of(said->event.id.view()), to_hex(member.view()));
    return out;
}

std::string text_of(const std::optional<Day>& day) {
    return day ? std::to_string(day->number) : "-";
}

// Each author's rows, in the order of their times.
std::map<MemberId, std::vector<const Said*>> rows_by_author(const std::vector<Said>& all) {
    std::map<MemberId, std::vector<const Said*>> out;
    for (const Said& said : all) {
        if (reads<ClubRowBody>(said, kind::club_row)) out[*said.author].push_back(&said);
    }
    for (auto& [member, writes] : out) {
        std::sort(writes.begin(), writes.end(), [](const Said* a, const Said* b) {
            return std::tie(a->event.body.time, a->event.id) < std::tie(b->event.body.time, b->event.id);
        });
    }
    return out;
}

Day day_of(const Said* said) {
    return utc_day(said->event.body.time.wall);
}

// What every author's rows tell when each is read.
Rows story_rows(const std::vector<Said>& all) {
    Rows out;
    for (const auto& [member, writes] : rows_by_author(all)) {
        std::set<Day> days;
        std::set<Day> contacts;
        std::string stages;
        std::optional<std::string> last;
        for (const Said* said : writes) {
            const ClubRowBody row = *read_payload<ClubRowBody>(said->event.body.payload);
            days.insert(day_of(said));
            if (row.last_contact) contacts.insert(*row.last_contact);
            if (last != row.stage) stages += " " + row.stage + "," + text_of(day_of(said));
            last = row.stage;
        }
        const auto end = [&](auto at) { return contacts.empty() ? std::optional<Day>() : std::optional(*at); };
        out.emplace(key_of(member.view()), std::to_string(days.size()) + stages + " " + text_of(end(contacts.begin())) +
                                               text_of(end(contacts.rbegin())) + " " +
                                               std::to_string(writes.front()->event.body.time.wall.ms) + " " +
                                               std::to_string(writes.back()->event.body.time.wall.ms));
    }
    return out;
}

// A year of periods that worlds happen in, if clocks are right.
constexpr std::int32_t look_last = 20'500 / node::look_period_days;
constexpr std::int32_t look_first = look_last + 1 - node::looks_a_year;

// Between two rows a year is kept at most: it is enough if the later one is not of the future.
bool has_long_silence(const std::vector<const Said*>& writes) {
    for (std::size_t i = 1; i < writes.size(); ++i) {
        const std::int32_t periods =
            node::look_period_of(day_of(writes[i])) - node::look_period_of(day_of(writes[i - 1]));
        if (periods > node::looks_a_year) return true;
    }
    return false;
}

std::string look_text(std::int32_t period, WallTime said, std::size_t days, const std::string& stage,
                      std::optional<Day> since) {
    return std::to_string(period) + " " + std::to_string(said.ms) + " " + std::to_string(days) + " " + stage + " " +
           text_of(since);
}

// What an author's rows told at the end of each period.
Rows look_rows(const std::vector<Said>& all) {
    Rows out;
    for (const auto& [member, writes] : rows_by_author(all)) {
        if (has_long_silence(writes)) continue;
        for (std::int32_t period = look_first; period <= look_last; ++period) {
            std::set<Day> days;
            const Said* last = nullptr;
            for (const Said* said : writes) {
                if (day_of(said) > node::last_day_of_look(period)) break;
                days.insert(day_of(said));
                last = said;
            }
            if (last == nullptr) continue;
            const ClubRowBody row = *read_payload<ClubRowBody>(last->event.body.payload);
            out.emplace(key_of(member.view()),
                        look_text(period, last->event.body.time.wall, days.size(), row.stage, row.stage_since));
        }
    }
    return out;
}

// One look at the steps so far for every step: what stands for a pair after them, and who said yes.
struct PairNow {
    int step = 0;
    Day day;
    std::set<MemberId> yes;
};

// Whether `earlier` is the word before this one in its log, or one that this one replaces and may replace.
bool stands_behind(const Said& said, const Said& earlier, const std::vector<const Said*>& words) {
    const auto& old = said.event.body.supersedes;
    if (std::find(old.begin(), old.end(), earlier.event.id) != old.end()) {
        return said.role == MemberRole::officer || said.author == earlier.author;
    }
    if (earlier.event.log != said.event.log || earlier.event.seq >= said.event.seq) return false;
    return std::none_of(words.begin(), words.end(), [&](const Said* between) {
        return between->event.log == said.event.log && between->event.seq > earlier.event.seq &&
               between->event.seq < said.event.seq;
    });
}

// WIRE.md "Order of words": each behind those that it stands behind.
void put_down(const Said& said, const std::vector<const Said*>& by_time, std::vector<const Said*>& out) {
    const auto is_down = [&](const Said* one) { return std::find(out.begin(), out.end(), one) != out.end(); };
    if (is_down(&said)) return;
    for (const Said* earlier : by_time) {
        if (earlier != &said && stands_behind(said, *earlier, by_time)) put_down(*earlier, by_time, out);
    }
    out.push_back(&said);
}

Rows pairing_rows(const std::vector<Said>& all) {
    std::vector<const Said*> by_time;
    for (const Said& said : all) {
        if (reads<PairingBody>(said, kind::pairing)) by_time.push_back(&said);
    }
    std::sort(by_time.begin(), by_time.end(), [](const Said* a, const Said* b) {
        return std::tie(a->event.body.time, a->event.id) < std::tie(b->event.body.time, b->event.id);
    });
    std::vector<const Said*> in_order;
    for (const Said* said : by_time) put_down(*said, by_time, in_order);
    std::map<std::pair<MemberId, MemberId>, PairNow> pairs;
    constexpr int proposed = 1;
    constexpr int agreed = 2;
    for (const Said* said : in_order) {
        const PairingBody body = *read_payload<PairingBody>(said->event.body.payload);
        const MemberId by = *said->author;
        const bool officer = said->role == MemberRole::officer;
        const bool one_of_them = by == body.newcomer || by == body.mentor;
        const bool has_them = pairs.contains({body.newcomer, by}) && pairs[{body.newcomer, by}].step == agreed;
        const PairNow before =
            pairs.contains({body.newcomer, body.mentor}) ? pairs[{body.newcomer, body.mentor}] : PairNow{};
        PairNow after{static_cast<int>(body.step), body.day, {}};
        const bool open = before.step == proposed || before.step == agreed;
        bool counts = false;
        if (body.step == PairingStep::proposed) counts = !open && (officer || has_them);
        if (body.step == PairingStep::declined) counts = one_of_them ? open : officer && before.step == proposed;
        if (body.step == PairingStep::ended) counts = open && (officer || one_of_them);
        if (body.step == PairingStep::agreed && before.step != agreed) {
            counts = officer;
            if (one_of_them && before.step == proposed) {
                std::set<MemberId> yes = before.yes;
                yes.insert(by);
                counts = yes.contains(body.newcomer) && yes.contains(body.mentor);
                if (!counts) pairs[{body.newcomer, body.mentor}].yes = yes;
            }
        }
        if (counts) pairs[{body.newcomer, body.mentor}] = after;
    }
    Rows out;
    for (const auto& [pair, now] : pairs) {
        if (now.step == 0) continue;
        Bytes key = key_of(pair.first.view());
        key.insert(key.end(), pair.second.data.begin(), pair.second.data.end());
        out.emplace(key, std::to_string(now.step) + " " + std::to_string(now.day.number));
    }
    return out;
}

Rows contact_rows(const std::vector<Said>& all) {
    Rows out;
    for (const Said& said : all) {
        if (reads<ContactBody>(said, kind::contact))
            out.emplace(key_of(said.event.id.view()), to_hex(said.author->view()));
    }
    return out;
}

// The same rows as the pages read them.
Result<Rows> page_statements(Node& node, const CircleId& circle) {
    Rows out;
    TRY(const auto all, node::statements(node.db(), circle));
    for (const auto& s : all) {
        for (const MemberRole role : {MemberRole::newcomer, MemberRole::mentor, MemberRole::guardian,
                                      MemberRole::second_adult, MemberRole::officer}) {
            if (node::to_domain(role) == s.role)
                out.emplace(key_of(s.id.view()), domain::to_text(s.item) + " " +
                                                     text_of(node::to_protocol(s.author), role, {s.said, s.count}));
        }
    }
    return out;
}

Result<Rows> page_shown(Node& node, const CircleId& circle, std::uint16_t kind) {
    Rows out;
    TRY(const auto all, node::shown(node.db(), circle, kind));
    for (const auto& view : all) out.emplace(key_of(view.id.view()), to_hex(view.by.view()));
    return out;
}

Result<Rows> page_stories(Node& node, const CircleId& circle) {
    Rows out;
    TRY(const auto all, node::row_stories(node.db(), circle));
    for (const auto& [member, told] : all) {
        const node::RowStory& story = told.story;
        std::string stages;
        for (const auto& run : story.runs) stages += " " + run.stage + "," + text_of(run.said);
        out.emplace(key_of(member.view()), std::to_string(story.days) + stages + " " + text_of(story.contact_first) +
                                               text_of(story.contact_last) + " " + std::to_string(story.first_said.ms) +
                                               " " + std::to_string(story.last_said.ms));
    }
    return out;
}

Result<Rows> page_looks(Node& node, const CircleId& circle, const std::vector<Said>& all) {
    Rows out;
    const auto writes = rows_by_author(all);
    TRY(const auto looks, node::row_looks(node.db(), circle, look_first, look_last));
    for (const auto& [member, told] : looks.of) {
        const auto found = writes.find(member);
        if (found != writes.end() && has_long_silence(found->second)) continue;
        for (const auto& [period, look] : told.looks) {
            out.emplace(key_of(member.view()), look_text(period, look.said, look.days, look.stage, look.stage_since));
        }
    }
    return out;
}

Result<Rows> page_pairings(Node& node, const CircleId& circle) {
    Rows out;
    TRY(const auto all, node::pairings(node.db(), circle));
    for (const auto& view : all) {
        Bytes key = key_of(view.newcomer.view());
        key.insert(key.end(), view.mentor.data.begin(), view.mentor.data.end());
        out.emplace(key, std::to_string(static_cast<int>(view.step)) + " " + std::to_string(view.day.number));
    }
    return out;
}

Result<Rows> page_contacts(Node& node, const CircleId& circle) {
    Rows out;
    TRY(const auto all, node::contacts(node.db(), circle));
    for (const auto& view : all) out.emplace(key_of(view.id.view()), to_hex(view.by.view()));
    return out;
}

std::string compare_states(const CircleState& plain, const CircleState& kept) {
    if (plain.members != kept.members) return "Another plain reading of the rules gives other members.";
    if (plain.devices != kept.devices) return "Another plain reading of the rules gives other devices.";
    if (all_lost(plain) != all_lost(kept)) return "Another plain reading of the rules gives other lost devices.";
    if (all_cuts(plain) != all_cuts(kept)) return "Another plain reading of the rules gives other cuts.";
    if (plain.after_return != kept.after_return) return "Another plain reading of the rules gives other returns.";
    if (plain.taken_back != kept.taken_back) return "Another plain reading of the rules takes back other words.";
    return {};
}

Result<std::string> compare(Node& node, const CircleId& circle) {
    TRY(const Logs logs, logs_of(node, circle));
    TRY(auto all, all_said(node, circle, logs));
    const PlainCircle plain(circle, control_of(all));
    const CircleState state = plain.state();
    TRY(const CircleState kept, store::CircleModel::state_of(node.db(), circle));
    std::string wrong = compare_states(state, kept);
    if (wrong.empty() && plain.without_effect() != kept.without_effect && kept.pending == 0) {
        wrong = "Another plain reading of the rules finds other events without effect.";
    }
    if (!wrong.empty()) return wrong;
    judge_words(all, state, logs);
    TRY(const Rows statements, page_statements(node, circle));
    if (statements != statement_rows(all))
        return std::string("A page shows other ticks and signatures than were said.");
    for (const std::uint16_t kind : {kind::card, kind::ask, kind::club_row}) {
        TRY(const Rows shown, page_shown(node, circle, kind));
        if (shown != shown_rows(all, kind)) return std::string("A page shows other cards than the newest that stand.");
    }
    TRY(const Rows stories, page_stories(node, circle));
    if (stories != story_rows(all)) return std::string("A page tells another story of somebody's rows.");
    TRY(const Rows looks, page_looks(node, circle, all));
    if (looks != look_rows(all)) return std::string("A page tells another year of somebody's rows.");
    TRY(const Rows pairs, page_pairings(node, circle));
    if (pairs != pairing_rows(all)) return std::string("A page shows other pairs than were said.");
    TRY(const Rows contacts, page_contacts(node, circle));
    if (contacts != contact_rows(all)) return std::string("A page shows other contacts than were said.");
    return std::string();
}

}  // namespace

std::string compare_with_plain_model(Node& node, const CircleId& circle) {
    const auto compared = compare(node, circle);
    return compared ? compared.value() : "The plain model could not read: " + compared.error().sentence();
}

}  // namespace ladderline::simulation
