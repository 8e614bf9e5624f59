#include "node/web/pages/frame.hpp"

#include <algorithm>
#include <charconv>

#include "node/commands/clock_note.hpp"
#include "node/commands/paper.hpp"
#include "node/commands/qr.hpp"
#include "node/web/pages/page_words.hpp"
#include "node/web/phone/phone_door.hpp"
#include "protocol/handshake/check_words.hpp"

namespace ladderline::node::web {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;

constexpr std::size_t topics_max = 15;  // a stream takes 16

}  // namespace

std::vector<NavLink> links_for(const Viewer& viewer) {
    std::vector<NavLink> out;
    if (viewer.path) {
        out.push_back({url("/"), "Next step", 'n'});
        out.push_back({url("/way"), "Way", 'w'});
        out.push_back({url("/meet"), "Meet", 'm'});
        out.push_back({url("/contact"), "Contacts", 'l'});
        out.push_back({url("/practise"), "Practise", 'p'});
        out.push_back({url("/exam"), "Exam", 'x'});
    }
    if (viewer.helps()) out.push_back({url("/people"), "People", 'o'});
    if (viewer.club) out.push_back({url("/club"), "Club", 'b'});
    if (viewer.club && (viewer.is_officer || viewer.is_mentor)) out.push_back({url("/class"), "Class", 'k'});
    out.push_back({url("/circles"), "Circles", 'r'});
    out.push_back({url("/card"), "Card", 'v'});
    return out;
}

// Black on white whatever the colours of the page are: a camera reads it.
Html qr_drawing(const std::string& code) {
    const auto picture = qr_picture(code, QrCare::screen);
    if (!picture) return Html();
    const int side = picture.value().side;
    return html(
        "<svg class=\"qr\" role=\"img\" aria-label=\"The same code as a QR code\" viewBox=\"0 0 {} {}\">"
        "<rect width=\"{}\" height=\"{}\" fill=\"#fff\"/><path fill=\"#000\" d=\"{}\"/></svg>",
        side, side, side, side, qr_path(picture.value()));
}

std::uint64_t Scene::say(const Done& done, std::optional<Undo> undo) const {
    constexpr std::int64_t undo_ms_max = 10 * 60'000;
    Told told{done.sentence};
    told.undo = std::move(undo);
    if (told.undo) told.undo->until = context().env.clock.monotonic() + undo_ms_max;
    return say(std::move(told));
}

namespace {

// By which two people notice that a code was changed on its way.
Html code_words(const std::string& typed) {
    const auto code = parse_code(typed);
    if (!code) return Html();
    return html(
        "<p>Its check words: <strong translate=\"no\">{}</strong></p><p>Their page shows the same before they join. If "
        "the code goes by e-mail, or through other hands, let them read the words to you.</p>",
        protocol::itu_spelling(check_letters_of(code.value())));
}

Html told_notice(const Scene& scene) {
    const Told* told = told_of(scene);
    if (told == nullptr || told->sentence.empty() || scene.refusal) return Html();
    Html body = html("<p>{}</p>", page_words(scene.viewer, told->sentence));
    if (!told->code.empty() && scene.request.on_phone) {
        body.add("<p>A code that lets somebody in is shown on the machine itself alone.</p>");
    } else if (!told->code.empty()) {
        body.add("<p class=\"code\" translate=\"no\">{}</p>{}{}", told->code, qr_drawing(told->code),
                 code_words(told->code));
    }
    if (told->undo && scene.context().env.clock.monotonic() < told->undo->until) {
        body += button_form(scene.request, told->undo->action, told->undo->words, told->undo->values);
    }
    return notice(Tone::done, "Done", body);
}

// The first field of a part of the page that says what is wrong with it; empty if none does.
std::string field_at_fault(const Html& part) {
    constexpr std::string_view begin = " id=\"";
    const std::string& markup = part.markup();
    const std::size_t end = markup.find("-problem\"><strong>");
    if (end == std::string::npos) return {};
    const std::size_t from = markup.rfind(begin, end) + begin.size();
    return markup.substr(from, end - from);
}

// To the field that is meant, where the page marks it, else to the form that came back; none without one.
Html way_back(const Page& content) {
    for (const Html* part : {&content.main, &content.side}) {
        const std::string field = field_at_fault(*part);
        if (!field.empty()) return html("<p><a href=\"#{}\">Go to what is meant</a></p>", field);
    }
    for (const Html* part : {&content.main, &content.side}) {
        if (part->markup().find("id=\"came-back\"") == std::string::npos) continue;
        return html("<p><a href=\"#came-back\">Go to the form</a></p>");
    }
    return Html();
}

Html refusal_notice(const Scene& scene, const Page& content) {
    if (!scene.refusal) return Html();
    const Html sentence = page_words(scene.viewer, scene.refusal->sentence);
    if (scene.refusal->in_part) {
        return html(
            "<section class=\"notice caution\" role=\"alert\"><h2>Saved in part</h2><p>{}</p><p>What is left is still "
            "in the form.</p>{}</section>",
            sentence, way_back(content));
    }
    return html(
        "<section class=\"notice problem\" role=\"alert\"><h2>Not saved</h2><p>{}</p><p>What you typed is still in "
        "the form; nothing else was changed.</p>{}</section>",
        sentence, way_back(content));
}

// Whoever is at the pages knows that nobody had to be there for the store to open.
Html unattended_badge(const Scene& scene) {
    if (!scene.house.context.opened_by_key_file) return Html();
    return html("<p class=\"badge\">Opened by key file: this node unlocks itself at boot.</p>");
}

// Whoever is at the machine sees on every page that the door stands open.
Html phone_badge(const Scene& scene) {
    const PhoneDoor* door = scene.house.phone;
    if (door == nullptr || !door->state().is_open) return Html();
    return html("<p class=\"badge\"><a href=\"{}\">Open to a telephone</a> until {}.</p>", url("/phone"),
                time_words(scene.viewer, door->state().until));
}

void look_into(Viewer& viewer, const CircleView& circle, const PersonView& me) {
    if (circle.kind == CircleKind::path && circle.founder == me.id) viewer.path = viewer.path.value_or(circle);
    if (circle.kind == CircleKind::path && circle.founder != me.id) viewer.is_on_others_path = true;
    if (viewer.club && viewer.club->id == circle.id) {
        viewer.is_officer = me.role == MemberRole::officer;
        viewer.is_mentor = me.role == MemberRole::mentor;
    }
    if (viewer.name.empty()) viewer.name = me.name;
    if (!viewer.card) viewer.card = me.card;
}

Result<Response> answered(const std::shared_ptr<House>& house, const SceneHandler& handler, const Request& request) {
    TRY(const Viewer viewer, viewer_of(house->context));
    const Scene scene{*house, viewer, request};
    auto answer = handler(scene);
    if (answer) return answer;
    Page content;
    content.title = answer.error().fault() == Fault::not_found ? "Not here" : "That did not work";
    content.main = html("<p>{}</p>", page_words(viewer, answer.error().sentence()));
    Response out = show(scene, std::move(content));
    out.status = status_of(answer.error().fault());
    return out;
}

Handler wrapped(const std::shared_ptr<House>& house, SceneHandler handler) {
    return [house, handler = std::move(handler)](const Request& request) {
        auto answer = answered(house, handler, request);
        if (answer) return std::move(answer).value();
        return sentence_page(status_of(answer.error().fault()), "That did not work", answer.error().sentence());
    };
}

std::string clock_text(std::int32_t minute_of_day) {
    const std::string hour = std::to_string(minute_of_day / 60);
    const std::string minute = std::to_string(minute_of_day % 60);
    return (hour.size() < 2 ? "0" : "") + hour + ":" + (minute.size() < 2 ? "0" : "") + minute;
}

std::string utc_words(WallTime t) {
    const std::string iso = to_iso_minute(t);  // 2026-03-10T22:00Z
    return iso.substr(0, 10) + " " + iso.substr(11, 5) + " UTC";
}

// "19:05" to minutes, also with seconds as some browsers send; empty if it is none.
std::optional<std::int32_t> minute_of(std::string_view text) {
    const bool shaped = (text.size() == 5 || text.size() == 8) && text[2] == ':';
    if (!shaped) return std::nullopt;
    int hour = -1;
    int minute = -1;
    const auto h = std::from_chars(text.data(), text.data() + 2, hour);
    const auto m = std::from_chars(text.data() + 3, text.data() + 5, minute);
    if (h.ptr != text.data() + 2 || m.ptr != text.data() + 5) return std::nullopt;
    if (hour < 0 || hour > 23 || minute < 0 || minute > 59) return std::nullopt;
    return hour * 60 + minute;
}

}  // namespace

std::uint64_t ToldList::keep(Told told) {
    ++count_;
    latest_[count_ % latest_.size()] = std::move(told);
    return count_;
}

const Told* ToldList::find(std::uint64_t number) const {
    if (number == 0 || number > count_ || count_ - number >= latest_.size()) return nullptr;
    return &latest_[number % latest_.size()];
}

Result<Viewer> viewer_of(Context& context) {
    Viewer out;
    if (auto club = own_circle(context, CircleKind::club)) out.club = std::move(club).value();
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        out.topics.push_back(topic_of(circle.id.view()));
        if (circle.kind == CircleKind::desk) continue;
        TRY(const auto me, person(context.db, circle.id, context.me.id()));
        if (me) look_into(out, circle, *me);
    }
    if (out.topics.size() > topics_max) out.topics = {std::string(any_circle_topic)};
    if (out.card && !out.card->zone.empty()) {
        if (auto zone = domain::Zone::find(out.card->zone)) out.zone = std::move(zone).value();
    }
    return out;
}

Refusal refusal_of(const Error& error, std::string field) {
    return {status_of(error.fault()), error.sentence(), std::move(field)};
}

void on_get(Router& router, const std::shared_ptr<House>& house, std::string_view pattern, SceneHandler handler) {
    router.get(pattern, wrapped(house, std::move(handler)));
}

void on_post(Router& router, const std::shared_ptr<House>& house, std::string_view pattern, SceneHandler handler) {
    router.post(pattern, wrapped(house, std::move(handler)));
}

const Told* told_of(const Scene& scene) {
    const auto number = scene.request.query.number("said");
    return number && *number > 0 ? scene.house.told.find(static_cast<std::uint64_t>(*number)) : nullptr;
}

namespace {

// Said on the first page alone, until the spare key is written down.
Html spare_key_notice(const Scene& scene) {
    const auto reminder = paper_reminder(scene.context());
    if (!reminder || reminder.value().empty()) return {};
    return html("<p class=\"days\">{}</p>", reminder.value());
}

// Said on the first page alone, while something speaks against the clock.
Html clock_notice(const Scene& scene) {
    const auto note = clock_note(scene.context());
    if (!note || note.value().empty()) return {};
    return notice(Tone::caution, "Is the clock right?", note.value());
}

}  // namespace

Response show(const Scene& scene, Page content, Live live) {
    content.nav = links_for(scene.viewer);
    content.search = url("/find");
    content.foot = {
        {url("/store"), "Is it safe?", 'i'}, {url("/ladder"), "Ladder and rules", 'e'}, {url("/keys"), "Keys", 'h'}};
    if (scene.house.phone != nullptr) content.foot.push_back({url("/phone"), "My phone", 't'});
    if (live == Live::yes) content.live_topics = scene.viewer.topics;
    Html top = refusal_notice(scene, content);
    top += told_notice(scene);
    if (scene.request.path == "/") top += clock_notice(scene);
    top += content.main;
    top += unattended_badge(scene);
    top += phone_badge(scene);
    if (scene.request.path == "/") top += spare_key_notice(scene);
    content.main = std::move(top);
    return page(scene.request, content, scene.refusal ? scene.refusal->status : 200);
}

bool FormOn::came_back() const {
    return scene_.refusal.has_value() && scene_.request.form.get("form") == name_;
}

std::string FormOn::value(std::string_view field, std::string_view start) const {
    return came_back() ? scene_.request.form.text(key(field)) : std::string(start);
}

Field FormOn::field(std::string_view name, std::string label, std::string_view start, std::string help) const {
    Field out;
    out.name = key(name);
    out.label = std::move(label);
    out.value = value(name, start);
    out.help = std::move(help);
    if (came_back() && scene_.refusal->field == name)
        out.problem = page_words_plain(scene_.viewer, scene_.refusal->sentence);
    return out;
}

Field FormOn::required(std::string_view name, std::string label, std::string_view start, std::string help) const {
    Field out = field(name, std::move(label), start, std::move(help));
    out.required = true;
    return out;
}

Html FormOn::form(const Url& action, const Html& inside) const {
    Html all = hidden("form", name_);
    all += inside;
    Html out = post_form(scene_.request, action, all);
    return came_back() ? html("<div id=\"came-back\">{}</div>", out) : out;
}

std::string time_words(const Viewer& viewer, WallTime t) {
    if (!viewer.zone) return utc_words(t);
    const std::string local = domain::to_text(viewer.zone->clock_at(t));
    return local.ends_with(utc_words(t)) ? local : local + " (" + utc_words(t) + ")";
}

Html both_clocks(const Viewer& viewer, WallTime t) {
    if (!viewer.zone) return html("<time datetime=\"{}\">{}</time>", to_iso_minute(t), utc_words(t));
    return html("<span class=\"clocks\"><time datetime=\"{}\">{}</time> <span class=\"utc\">{}</span></span>",
                to_iso_minute(t), domain::to_text(viewer.zone->clock_at(t)), utc_words(t));
}

std::string days_ago_words(Day day, Day today) {
    const std::int32_t ago = days_between(day, today);
    if (ago == 0) return "today";
    if (ago == 1) return "yesterday";
    if (ago == -1) return "tomorrow";
    return ago > 0 ? std::to_string(ago) + " days ago" : "in " + std::to_string(-ago) + " days";
}

Html time_rows(const FormOn& form, const Viewer& viewer, WallTime start, WallTime now) {
    Html out;
    Day day = utc_day(start);
    std::int32_t minute = static_cast<std::int32_t>((start.ms - start_of(day).ms) / 60'000);
    if (viewer.zone) {
        const domain::LocalClock local = viewer.zone->clock_at(start);
        day = local.day;
        minute = local.minute_of_day;
    }
    out += day_row(form.required("day", "Day", to_iso(day)));
    out += clock_row(form.required("clock", "Time of day, 24 hours", clock_text(minute),
                                   "It is now " + time_words(viewer, now) + "."));
    out += hidden(form.key("instant"), form.value("instant", std::to_string(start.ms)));
    if (!viewer.zone) return out;
    out += radio_rows(form.required("which", "That day and time are by", "local"),
                      {{"local", "my own clock (" + viewer.zone->clock_at(start).abbreviation + ")"}, {"utc", "UTC"}});
    return out;
}

namespace {

// The instant that the form began with, if it lies within the minute that begins at `typed`: a minute cannot say the
// seconds, nor by the own clock which of two hours is meant.
std::optional<WallTime> untouched(const FormOn& form, WallTime typed) {
    constexpr std::int64_t minute_ms = 60'000;
    const auto began = form.number("instant");
    if (!began || *began < typed.ms || *began >= typed.ms + minute_ms) return std::nullopt;
    return WallTime{*began};
}

}  // namespace

Result<WallTime> read_time(const FormOn& form, const Viewer& viewer) {
    TRY(const Day day, parse_day(form.text("day")));
    const auto minute = minute_of(form.text("clock"));
    if (!minute) return Error{Fault::bad_input, "Write the time of day in 24 hours, as 19:05."};
    if (!viewer.zone || form.text("which") == "utc") {
        const WallTime typed{start_of(day).ms + *minute * 60'000LL};
        return untouched(form, typed).value_or(typed);
    }
    const domain::LocalMoment moment = viewer.zone->at(day, *minute);
    if (moment.kind == domain::LocalKind::skipped) {
        return Error{Fault::bad_input,
                     "Clocks are put forward over that time of that day, so it does not exist; "
                     "choose another, or write it in UTC."};
    }
    for (const WallTime typed : {moment.earlier, moment.later}) {
        if (const auto began = untouched(form, typed)) return *began;
    }
    if (moment.kind == domain::LocalKind::twice) {
        return Error{Fault::bad_input,
                     "Clocks are put back over that time of that day, so it comes twice; write it in UTC, so that it "
                     "is clear which is meant."};
    }
    return moment.earlier;
}

Html caution_for(const domain::Item& item) {
    if (!item.safety) return Html();
    constexpr std::uint8_t first_stage_with_equipment = 5;
    if (item.id.stage < first_stage_with_equipment) {
        return notice(Tone::caution, "This one keeps people safe",
                      "Somebody else looks at it too. A guardian's word, your regulator's rules and the exam team's "
                      "own instructions come before anything said here.");
    }
    return notice(Tone::caution, "Take care",
                  "Exposure, power lines, heights, mains, batteries and lightning hurt people who know what they are "
                  "doing. Do this with a second person, and stop when either of you is unsure. The local electrical "
                  "code, your regulator and licensed tradespeople decide; this list only reminds.");
}

Mark mark_of(const domain::ItemState& state, const domain::Item& item) {
    switch (state.phase) {
        case domain::Phase::open:
            return Mark::open;
        case domain::Phase::ticked:
            return item.signs == domain::SignWord::none ? Mark::ticked : Mark::waiting;
        case domain::Phase::is_signed:
            return Mark::signed_off;
        case domain::Phase::withdrawn:
            return Mark::held;
        case domain::Phase::reopened:
            return Mark::open;
        case domain::Phase::resting:
            return Mark::resting;
        case domain::Phase::skipped:
            return Mark::skipped;
    }
    return Mark::open;
}

std::string state_words(const domain::ItemState& state, const domain::Item& item) {
    std::string out(domain::to_word(state.phase));
    if (state.phase == domain::Phase::ticked && item.signs != domain::SignWord::none) out += ", waits for a signature";
    if (state.signed_level() != domain::Level::none) out += ": " + std::string(domain::to_word(state.signed_level()));
    return out;
}

std::string stage_title(const domain::Edition& edition, std::uint8_t stage) {
    const domain::Stage* found = edition.stage(stage);
    return found != nullptr ? found->title : "stage " + std::to_string(stage);
}

std::string seat_words(MemberRole role) {
    return std::string(role_word(role));
}

std::vector<Choice> seat_choices(CircleKind kind) {
    std::vector<MemberRole> roles{MemberRole::mentor, MemberRole::guardian, MemberRole::second_adult};
    if (kind == CircleKind::club) {
        roles = {MemberRole::newcomer, MemberRole::mentor, MemberRole::officer, MemberRole::guardian,
                 MemberRole::second_adult};
    }
    std::vector<Choice> out;
    for (const MemberRole role : roles) out.push_back({seat_words(role), seat_words(role)});
    return out;
}

std::vector<Choice> level_choices() {
    return {{"4", "taught it"}, {"3", "alone"}, {"2", "with help"}, {"0", "none: signs no skills"}};
}

Result<std::uint8_t> level_typed(const FormOn& form) {
    const auto level = form.number("level");
    if (!level || *level < 0 || *level > protocol::level_max)
        return Error{Fault::bad_input, "Choose the level from the list."};
    return static_cast<std::uint8_t>(*level);
}

std::string place_letter(std::size_t place) {
    return std::string(1, static_cast<char>('A' + place));
}

std::string as_of_words(const Viewer& viewer, const std::optional<WallTime>& newest) {
    return newest ? time_words(viewer, *newest) : std::string();
}

}  // namespace ladderline::node::web
