#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/couriers.hpp"

namespace ladderline::node::cli {
namespace {

constexpr std::uint64_t mebibyte = 1024 * 1024;
constexpr std::size_t digits_shown = 8;

std::string size_words(std::uint64_t bytes) {
    if (bytes < mebibyte) return std::to_string((bytes + 1023) / 1024) + " KiB";
    return std::to_string(bytes / mebibyte) + " MiB";
}

void add_keeper_words(CLI::App& sub, CommandLine& out) {
    sub.add_subcommand("begin", "Make a store that is a courier's: it keeps sealed copies for circles it cannot read")
        ->callback([&out] { out.begin_courier = true; });
    auto* place = sub.add_subcommand("place", "A code for one place at this courier, good once");
    auto request = std::make_shared<PlaceRequest>();
    place->add_option("--mebibytes", request->mebibytes, "How much the circle may leave here, in MiB");
    place->add_option("--days", request->days, "Removed after so many days without a visit");
    place->add_option("--good-for", request->good_for, "How many days the code is good for");
    place->callback([&out, request] {
        out.for_courier = true;
        out.command = [request](Context& context) -> Result<Answer> {
            TRY(const GivenPlace given, give_place(context, *request));
            const std::string until = to_iso_minute(given.expires);
            return Answer{"Hand this code to whoever looks after the circle: it takes one place, once, until " +
                              until.substr(0, 10) + ", " + until.substr(11, 5) + " UTC" +
                              ". They use it with 'ladderline courier use ADDRESS CODE --circle club'.\n" + given.code,
                          {{"code", given.code}, {"expires", until}}};
        };
    });
    auto* end = sub.add_subcommand("end", "End a place at this courier and remove what is in it");
    auto start = std::make_shared<std::string>();
    end->add_option("place", *start, "The first digits, as 'courier list' shows them")->required();
    end->callback([&out, start] {
        out.for_courier = true;
        out.command = [start](Context& context) -> Result<Answer> {
            TRY(const Done done, end_place(context, *start));
            return answer_of(done);
        };
    });
}

Result<Answer> list_places(Context& context) {
    TRY(const auto all, given_places(context));
    std::vector<std::string> text;
    boost::json::array json;
    for (const auto& line : all) {
        const std::string start = to_hex(line.circle.view()).substr(0, digits_shown);
        text.push_back(start + "  " + std::to_string(line.events) + " events, " + size_words(line.used_bytes) + " of " +
                       size_words(line.quota_bytes) + ", last visit " + to_iso_minute(line.visited) + ", kept " +
                       std::to_string(line.days) + " days");
        boost::json::object one{{"place", start}, {"events", line.events}, {"bytes", line.used_bytes}};
        one["quota"] = line.quota_bytes;
        one["days"] = line.days;
        one["visited"] = to_iso_minute(line.visited);
        json.push_back(std::move(one));
    }
    if (text.empty()) text.emplace_back("No circle has a place here; 'ladderline courier place' gives one out.");
    text.emplace_back("More is not known here: what is kept is sealed.");
    return Answer{lines(text), std::move(json)};
}

void add_circle_options(CLI::App& sub, CourierCall& call) {
    sub.add_option("--circle", call.circle, "path, club or desk")->required();
    sub.add_option("--of", call.who, "Whose path; without it your own, or the only one you help on");
}

void add_member_words(CLI::App& sub, CommandLine& out) {
    auto* use = sub.add_subcommand("use", "Take a place at a courier for a circle, with a code of its keeper");
    auto taken = std::make_shared<CourierCall>();
    use->add_option("address", taken->address, "The courier's host:port")->required();
    use->add_option("code", taken->code, "The code")->required();
    add_circle_options(*use, *taken);
    use->callback([&out, taken] {
        taken->what = CourierCall::What::use;
        out.courier_call = *taken;
    });
    auto* stop =
        sub.add_subcommand("stop", "Give up a circle's courier: it removes everything, the circle hears of it");
    auto stopped = std::make_shared<CourierCall>();
    add_circle_options(*stop, *stopped);
    stop->add_option("--at", stopped->address, "Only the one at this address");
    stop->callback([&out, stopped] {
        stopped->what = CourierCall::What::stop;
        out.courier_call = *stopped;
    });
    sub.add_subcommand("visit", "Call the couriers of your circles now, without a running node")->callback([&out] {
        out.courier_call = CourierCall{};
    });
}

void add_couriers(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("couriers", "Where sealed copies of your circles are kept, and how far");
    sub->callback([&out] {
        out.command = [](Context& context) -> Result<Answer> {
            TRY(const auto all, courier_sights(context));
            std::vector<std::string> text;
            boost::json::array json;
            for (const CourierSight& sight : all) {
                text.push_back(sight.circle + ": " + in_words(sight) + ".");
                boost::json::object one{{"circle", sight.circle}, {"address", sight.address}, {"key", sight.key}};
                one["quota"] = sight.quota_bytes;
                one["used"] = sight.used_bytes;
                one["days"] = sight.days;
                one["stored"] = sight.stored_at ? boost::json::value(to_iso_second(*sight.stored_at)) : nullptr;
                one["not_covered"] = sight.own_beyond;
                one["visited"] = sight.last_ok ? boost::json::value(to_iso_second(*sight.last_ok)) : nullptr;
                one["trouble"] = sight.trouble;
                json.push_back(std::move(one));
            }
            if (text.empty()) text.emplace_back("No circle of yours has a courier.");
            text.emplace_back(courier_limits);
            return Answer{lines(text), {{"couriers", std::move(json)}, {"limits", courier_limits}}};
        };
    });
}

}  // namespace

void add_courier_commands(CLI::App& app, CommandLine& out) {
    auto* sub =
        app.add_subcommand("courier", "A store that keeps sealed copies for people who are never online together");
    sub->require_subcommand(1);
    add_keeper_words(*sub, out);
    sub->add_subcommand("list", "What this courier keeps: sizes and times, more it does not know")->callback([&out] {
        out.for_courier = true;
        out.command = list_places;
    });
    add_member_words(*sub, out);
    add_couriers(app, out);
}

}  // namespace ladderline::node::cli
