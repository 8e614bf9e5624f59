#include "node/commands/stations.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include "node/commands/items.hpp"
#include "protocol/base/letters.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/station_bodies.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::StationChange;

constexpr double thousand = 1000;
constexpr double ms_per_min = 60'000;
constexpr double hertz_per_megahertz = 1e6;

template <class T>
T whole(double value) {
    return static_cast<T>(std::llround(value));
}

std::string number(double value) {
    char out[32];
    std::snprintf(out, sizeof out, "%.6g", value);
    return out;
}

Result<void> check_words(const StationSheet& sheet) {
    const auto is_line = [](const std::string& text) { return is_utf8(text) && text.find('\n') == std::string::npos; };
    if (sheet.name.empty()) {
        return Error{Fault::bad_input, "Give the station a name, as \"handheld\" or \"home\"; nothing was kept."};
    }
    const bool fits = sheet.name.size() <= limits::name_bytes_max && sheet.antenna.size() <= limits::line_bytes_max &&
                      sheet.place.size() <= limits::line_bytes_max;
    if (fits && is_line(sheet.name) && is_line(sheet.antenna) && is_line(sheet.place)) return ok();
    return Error{Fault::bad_input, "Name, antenna and place are each one short line; nothing was kept."};
}

Result<StationBody> body_of(const StationSheet& sheet) {
    constexpr double power_w_min = 0.001;
    constexpr double metres_max = 100'000;
    TRY(check_words(sheet));
    TRY(domain::check(sheet.transmission));
    TRY(find_mode_duty(sheet.mode));
    const domain::Transmission& t = sheet.transmission;
    if (t.peak_w < power_w_min) return Error{Fault::bad_input, "A station that is kept has a milliwatt or more."};
    if (!(sheet.distance_m >= 1 / thousand && sheet.distance_m <= metres_max)) {
        return Error{Fault::bad_input, "The distance of people is more than 0 and at most 100,000 m."};
    }
    if (sheet.height_m && !(*sheet.height_m >= 0 && *sheet.height_m <= metres_max)) {
        return Error{Fault::bad_input, "The height of the antenna is 0 to 100,000 m."};
    }
    StationBody out;
    out.name = sheet.name;
    out.antenna = sheet.antenna;
    out.place = sheet.place;
    out.frequency_hz = whole<std::uint64_t>(t.frequency_mhz * hertz_per_megahertz);
    out.peak_mw = whole<std::uint32_t>(t.peak_w * thousand);
    out.mode = sheet.mode;
    out.on_ms = whole<std::uint32_t>(t.on_min * ms_per_min);
    out.off_ms = whole<std::uint32_t>(t.off_min * ms_per_min);
    out.loss_mdb = whole<std::uint32_t>(t.loss_db * thousand);
    out.gain_mdb = whole<std::int32_t>(t.gain_dbi * thousand);
    out.reflection_milli = whole<std::uint32_t>(t.reflection * thousand);
    out.distance_mm = whole<std::uint32_t>(sheet.distance_m * thousand);
    if (sheet.height_m) out.height_mm = whole<std::uint32_t>(*sheet.height_m * thousand);
    return out;
}

StationSheet sheet_of(const StationBody& body) {
    StationSheet out;
    out.name = body.name;
    out.antenna = body.antenna;
    out.place = body.place;
    out.mode = body.mode;
    out.distance_m = body.distance_mm / thousand;
    if (body.height_mm) out.height_m = *body.height_mm / thousand;
    domain::Transmission& t = out.transmission;
    t.frequency_mhz = static_cast<double>(body.frequency_hz) / hertz_per_megahertz;
    t.peak_w = body.peak_mw / thousand;
    if (const auto mode = find_mode_duty(body.mode)) t.mode_duty = mode.value().duty;
    t.on_min = body.on_ms / ms_per_min;
    t.off_min = body.off_ms / ms_per_min;
    t.loss_db = body.loss_mdb / thousand;
    t.gain_dbi = body.gain_mdb / thousand;
    t.reflection = body.reflection_milli / thousand;
    return out;
}

Result<std::vector<StationBody>> said_stations(Context& context) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto all, shown_history(context.db, desk.id, kind::station));
    std::vector<StationBody> out;
    for (const ShownView& view : all) {
        if (auto body = read_payload<StationBody>(view.payload)) out.push_back(*std::move(body));
    }
    return out;
}

// One thing that is otherwise than on the sheet.
struct Otherwise {
    std::string sentence;
    std::optional<StationChange> change;  // none: of what is sent alone, so that no fuse and no wire is concerned
};

std::string was_words(const std::string& what, const std::string& was, const std::string& is) {
    return what + " was " + (was.empty() ? "not said" : was) + " and is " + (is.empty() ? "not said" : is) + " now.";
}

std::vector<Otherwise> differences(const StationBody& was, const StationBody& is) {
    std::vector<Otherwise> out;
    const StationSheet a = sheet_of(was);
    const StationSheet b = sheet_of(is);
    const auto text = [&](const char* what, const std::string& x, const std::string& y,
                          std::optional<StationChange> change) {
        if (x != y) out.push_back({was_words(what, x, y), change});
    };
    const auto figure = [&](const char* what, double x, double y, const char* unit,
                            std::optional<StationChange> change) {
        if (x != y) out.push_back({was_words(what, number(x) + unit, number(y) + unit), change});
    };
    const domain::Transmission& t = a.transmission;
    const domain::Transmission& u = b.transmission;
    figure("The power", t.peak_w, u.peak_w, " W", StationChange::power);
    text("The antenna", a.antenna, b.antenna, StationChange::antenna);
    figure("The gain of the antenna", t.gain_dbi, u.gain_dbi, " dBi", StationChange::antenna);
    figure("The loss of the feed line", t.loss_db, u.loss_db, " dB", StationChange::antenna);
    const auto height = [](const std::optional<double>& h) { return h ? number(*h) + " m" : std::string(); };
    text("The height of the antenna", height(a.height_m), height(b.height_m), StationChange::antenna);
    text("The place", a.place, b.place, StationChange::place);
    figure("The distance of people", a.distance_m, b.distance_m, " m", StationChange::place);
    figure("The ground's reflection", t.reflection, u.reflection, "", StationChange::place);
    figure("The frequency", t.frequency_mhz, u.frequency_mhz, " MHz", {});
    text("The mode", a.mode, b.mode, {});
    figure("The time on the air", t.on_min, u.on_min, " min", {});
    figure("The time of listening", t.off_min, u.off_min, " min", {});
    return out;
}

// The items that one change re-opens; where only what is sent is otherwise, the exposure items alone.
std::vector<domain::ItemId> touched_by(const Otherwise& one, const domain::Edition& edition,
                                       const domain::States& states) {
    if (one.change) return domain::reopened_by(edition, states, *one.change);
    std::vector<domain::ItemId> out = domain::reopened_by(edition, states, StationChange::power);
    std::erase_if(out, [&](domain::ItemId item) { return edition.find(item)->gate != domain::ItemGate::exposure; });
    return out;
}

// What is to be done again on the own way; empty where there is none.
Result<std::string> reopen_items(Context& context, const std::vector<Otherwise>& changes) {
    const auto own = way(context, "");
    if (!own) return std::string();
    std::vector<domain::ItemId> items;
    for (const Otherwise& one : changes) {
        for (const domain::ItemId item : touched_by(one, context.edition, own.value().states)) {
            if (std::find(items.begin(), items.end(), item) == items.end()) items.push_back(item);
        }
    }
    std::string out;
    for (const domain::ItemId item : items) {
        const AsideRequest again{domain::to_text(item), domain::StatementKind::reopen};
        // The first word takes up what was set aside, and only the next one has it looked at again.
        if (domain::state_of(own.value().states, item).set_aside && !set_aside(context, again)) continue;
        if (!set_aside(context, again)) continue;
        out += (out.empty() ? "" : ", ") + domain::to_text(item);
    }
    return out;
}

Result<StationView> view_of(const StationBody& latest, const std::optional<StationBody>& worked) {
    StationView out;
    out.now = sheet_of(latest);
    if (!worked) {
        out.look_again.emplace_back("It was never worked out.");
        return out;
    }
    out.sheet = sheet_of(*worked);
    out.worked_on = worked->worked->day;
    TRY(out.worked, worksheet(out.sheet->transmission, out.sheet->distance_m));
    if (std::string over = over_limit_words(*out.worked); !over.empty()) out.look_again.push_back(std::move(over));
    for (Otherwise& one : differences(*worked, latest)) out.look_again.push_back(std::move(one.sentence));
    if (worked->worked->rules < domain::exposure_rules_day()) {
        out.look_again.push_back("The limits are those of " + to_iso(domain::exposure_rules_day()) +
                                 " now; the sheet was worked out by those of " + to_iso(worked->worked->rules) + ".");
    }
    return out;
}

}  // namespace

Result<std::vector<StationView>> stations(Context& context) {
    TRY(const auto all, said_stations(context));
    struct Told {
        StationBody latest;
        std::optional<StationBody> worked;
    };
    std::map<std::string, Told> by_name;
    for (const StationBody& body : all) {
        const std::string name = lower(body.name);
        if (body.gone) {
            by_name.erase(name);
            continue;
        }
        Told& told = by_name[name];
        told.latest = body;
        if (body.worked) told.worked = body;
    }
    std::vector<StationView> out;
    for (const auto& [name, told] : by_name) {
        auto view = view_of(told.latest, told.worked);
        if (view) out.push_back(std::move(view).value());  // figures that no program of ours would have kept
    }
    return out;
}

Result<StationView> find_station(Context& context, std::string_view name) {
    TRY(auto all, stations(context));
    std::string known;
    for (StationView& view : all) {
        if (lower(view.now.name) == lower(name)) return std::move(view);
        known += (known.empty() ? "" : ", ") + view.now.name;
    }
    return Error{Fault::not_found, "There is no station '" + std::string(name) + "' on your desk" +
                                       (known.empty() ? "." : "; there are " + known + ".")};
}

Result<Done> keep_sheet(Context& context, const StationSheet& sheet) {
    TRY(StationBody body, body_of(sheet));
    const StationSheet rounded = sheet_of(body);  // as it will be read
    TRY(const Worksheet worked, worksheet(rounded.transmission, rounded.distance_m));
    const auto millimetres = [](double metres) { return static_cast<std::uint32_t>(std::ceil(metres * thousand)); };
    body.worked =
        WorkedOut{context.today(), domain::exposure_rules_day(), millimetres(worked.informed.least_distance_m),
                  millimetres(worked.anybody.least_distance_m)};
    TRY(const auto before, stations(context));
    std::vector<Otherwise> changes;
    for (const StationView& known : before) {
        if (lower(known.now.name) != lower(sheet.name)) continue;
        TRY(const StationBody was, body_of(known.now));
        changes = differences(was, body);
    }
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const EventId id, say(context, desk.id, kind::station, codec::encode(body)));
    TRY(const std::string reopened, reopen_items(context, changes));
    std::string said = "Kept on your own desk as the sheet of '" + sheet.name + "': at least " +
                       at_least(worked.informed.least_distance_m) + " for people who know of it, " +
                       at_least(worked.anybody.least_distance_m) + " for everybody else.";
    if (const std::string nearer = near_field_words(worked); !nearer.empty()) said += " " + nearer;
    if (!reopened.empty()) {
        said += " It is another station than the one that was looked at; open again on your way: " + reopened + ".";
    }
    if (const std::string over = over_limit_words(worked); !over.empty()) {
        return Done{said + " " + over + " Do not tick 07.12 yet.", id};
    }
    return Done{said + " Tick 07.12 and show it to your mentor; nobody sees it otherwise.", id};
}

Result<Done> note_change(Context& context, const StationSheet& now) {
    TRY(const StationView before, find_station(context, now.name));
    StationSheet sheet = now;
    sheet.name = before.now.name;
    TRY(const StationBody body, body_of(sheet));
    TRY(const StationBody was, body_of(before.now));
    const std::vector<Otherwise> changes = differences(was, body);
    if (changes.empty()) {
        return Error{Fault::bad_input,
                     "Nothing about '" + sheet.name + "' is otherwise than before; nothing was kept."};
    }
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const EventId id, say(context, desk.id, kind::station, codec::encode(body)));
    TRY(const std::string reopened, reopen_items(context, changes));
    std::string said = "'" + sheet.name + "' is to be looked at again before it sends:";
    for (const Otherwise& one : changes) said += " " + one.sentence;
    if (!reopened.empty()) said += " Open again on your way: " + reopened + ".";
    return Done{said, id};
}

Result<Done> forget_station(Context& context, std::string_view name) {
    TRY(const StationView view, find_station(context, name));
    StationBody body;
    body.name = view.now.name;
    body.gone = true;
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const EventId id, say(context, desk.id, kind::station, codec::encode(body)));
    return Done{"'" + body.name + "' is off your list of stations.", id};
}

}  // namespace ladderline::node
