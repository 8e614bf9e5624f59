#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/stations.hpp"

namespace ladderline::node::cli {
namespace {

// What was typed; the rest comes from the station that is named, or is as usual.
struct Typed {
    std::optional<double> mhz;
    std::optional<double> watt;
    std::optional<double> on;
    std::optional<double> off;
    std::optional<double> loss;
    std::optional<double> gain;
    std::optional<double> reflection;
    std::optional<double> metres;
    std::optional<double> height;
    std::optional<std::string> mode;
    std::optional<std::string> antenna;
    std::optional<std::string> place;
};

struct ExposureOptions {
    Typed typed;
    std::string save;
    std::string changed;
    std::string forget;
    std::string show;
    bool list = false;
};

template <class T>
void take(T& into, const std::optional<T>& typed) {
    if (typed) into = *typed;
}

constexpr double usual_distance_m = 3;

Result<StationSheet> sheet_typed(const StationSheet& start, const Typed& typed) {
    StationSheet out = start;
    domain::Transmission& t = out.transmission;
    take(t.frequency_mhz, typed.mhz);
    take(t.peak_w, typed.watt);
    take(t.on_min, typed.on);
    take(t.off_min, typed.off);
    take(t.loss_db, typed.loss);
    take(t.gain_dbi, typed.gain);
    take(t.reflection, typed.reflection);
    take(out.distance_m, typed.metres);
    take(out.mode, typed.mode);
    take(out.antenna, typed.antenna);
    take(out.place, typed.place);
    if (typed.height) out.height_m = typed.height;
    TRY(const ModeDuty mode, find_mode_duty(out.mode));
    t.mode_duty = mode.duty;
    return out;
}

Result<StationSheet> fresh_sheet(const Typed& typed) {
    if (!typed.mhz || !typed.watt) {
        return Error{Fault::bad_input, "Say frequency and power, as --mhz 146.52 --watt 5."};
    }
    StationSheet start;
    start.distance_m = usual_distance_m;
    return sheet_typed(start, typed);
}

boost::json::value side_json(const domain::Exposure& e) {
    return {{"average_w", e.average_w},
            {"density_mw_cm2", e.density_mw_cm2},
            {"limit_mw_cm2", e.limit_mw_cm2},
            {"least_distance_m", e.least_distance_m},
            {"exempt", e.exempt != domain::Exemption::none},
            {"within", e.is_within}};
}

Answer sheet_answer(const Worksheet& sheet, std::vector<std::string> text) {
    for (const std::string& line : worksheet_words(sheet)) text.push_back(line);
    for (const std::string& caution : worksheet_cautions()) text.push_back(caution);
    return {lines(text), {{"controlled", side_json(sheet.informed)}, {"uncontrolled", side_json(sheet.anybody)}}};
}

Result<Answer> list_stations(Context& context) {
    TRY(const auto all, stations(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const StationView& view : all) {
        boost::json::array reasons;
        std::string line = view.now.name;
        if (view.worked) {
            line += ": at least " + at_least(view.worked->informed.least_distance_m) + " for people who know, " +
                    at_least(view.worked->anybody.least_distance_m) + " for everybody else; worked out on " +
                    to_iso(view.worked_on);
        }
        const bool over = view.worked && is_over_limit(*view.worked);
        text.push_back(line + (over                      ? "  [OVER THE LIMIT]"
                               : view.look_again.empty() ? ""
                                                         : "  [TO BE LOOKED AT AGAIN]"));
        if (view.worked) {
            const std::string nearer = near_field_words(*view.worked);
            if (!nearer.empty()) text.push_back("  " + nearer);
        }
        for (const std::string& reason : view.look_again) {
            text.push_back("  " + reason);
            reasons.push_back(boost::json::value(reason));
        }
        boost::json::object one{{"name", view.now.name}, {"look_again", std::move(reasons)}};
        if (view.worked) {
            one["worked_on"] = to_iso(view.worked_on);
            one["over_limit"] = over;
            one["controlled_m"] = view.worked->informed.least_distance_m;
            one["uncontrolled_m"] = view.worked->anybody.least_distance_m;
        }
        json.push_back(std::move(one));
    }
    if (text.empty()) {
        text.emplace_back(
            "No station is kept here. Keep one: ladderline exposure --mhz 146.52 --watt 5 --save handheld");
    }
    return Answer{lines(text), std::move(json)};
}

Result<Answer> save_station(Context& context, const ExposureOptions& o) {
    const auto known = find_station(context, o.save);
    auto sheet = known ? sheet_typed(known.value().now, o.typed) : fresh_sheet(o.typed);
    if (!sheet) return sheet.error();
    sheet.value().name = known ? known.value().now.name : o.save;
    TRY(const Done done, keep_sheet(context, sheet.value()));
    TRY(const StationView kept, find_station(context, sheet.value().name));
    return sheet_answer(*kept.worked, {done.sentence});
}

Result<Answer> change_station(Context& context, const ExposureOptions& o) {
    TRY(const StationView known, find_station(context, o.changed));
    TRY(const StationSheet sheet, sheet_typed(known.now, o.typed));
    TRY(const Done done, note_change(context, sheet));
    return answer_of(done);
}

Result<Answer> show_station(Context& context, const ExposureOptions& o) {
    TRY(const StationView view, find_station(context, o.show));
    std::vector<std::string> text;
    for (const std::string& reason : view.look_again) text.push_back("To be looked at again: " + reason);
    if (!view.worked) return Answer{lines(text), {{"look_again", true}}};
    text.push_back("Worked out on " + to_iso(view.worked_on) + ":");
    return sheet_answer(*view.worked, std::move(text));
}

Result<Answer> do_exposure(Context& context, const ExposureOptions& o) {
    if (!o.save.empty()) return save_station(context, o);
    if (!o.changed.empty()) return change_station(context, o);
    if (!o.show.empty()) return show_station(context, o);
    if (!o.forget.empty()) {
        TRY(const Done done, forget_station(context, o.forget));
        return answer_of(done);
    }
    if (o.list) return list_stations(context);
    TRY(const StationSheet sheet, fresh_sheet(o.typed));
    TRY(const Worksheet worked, worksheet(sheet.transmission, sheet.distance_m));
    return sheet_answer(worked, {});
}

}  // namespace

void add_exposure_commands(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("exposure", "How far people have to be from your antenna, and the sheets you keep");
    auto o = std::make_shared<ExposureOptions>();
    sub->add_option("--mhz", o->typed.mhz, "Frequency in MHz");
    sub->add_option("--watt", o->typed.watt, "Power at the transmitter, PEP");
    sub->add_option("--mode", o->typed.mode, "ssb, ssb-processed, cw, fm, data, slots or carrier");
    sub->add_option("--on", o->typed.on, "Minutes on the air at a time");
    sub->add_option("--off", o->typed.off, "Minutes of listening in between");
    sub->add_option("--loss", o->typed.loss, "Loss of the feed line, dB");
    sub->add_option("--gain", o->typed.gain, "Gain of the antenna, dBi; 2.15 for a dipole");
    sub->add_option("--reflection", o->typed.reflection, "1 none, 2.56 usual ground, 4 a mirror");
    sub->add_option("--metres", o->typed.metres, "How near people come");
    sub->add_option("--height", o->typed.height, "Lowest part of the antenna above the ground, metres");
    sub->add_option("--antenna", o->typed.antenna, "The antenna in a few words");
    sub->add_option("--place", o->typed.place, "Where it stands, in a few words");
    sub->add_option("--save", o->save, "Keep it on your desk as the sheet of the station of that name");
    sub->add_option("--changed", o->changed, "Something about that station is otherwise now; say what");
    sub->add_option("--show", o->show, "The sheet of that station");
    sub->add_option("--forget", o->forget, "That station is no more");
    sub->add_flag("--list", o->list, "Your stations, and which are to be looked at again");
    sub->callback([&out, o] { out.command = [o](Context& context) { return do_exposure(context, *o); }; });
}

}  // namespace ladderline::node::cli
