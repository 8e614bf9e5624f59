#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/couriers.hpp"
#include "node/commands/goings.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/sees.hpp"

namespace ladderline::node::cli {
namespace {

std::string lines_in_one(const std::vector<std::string>& parts) {
    std::string out;
    for (const std::string& part : parts) out += (out.empty() ? "" : ", ") + part;
    return out.empty() ? "no device" : out;
}

struct Words {
    std::string circle;
    std::string who;
    std::string newcomer;
    std::string because;
    std::string until;
    bool withdraw = false;
};

using Meant = Result<CircleView> (*)(Context&, std::string_view word, std::string_view who);

// An act on a whole circle.
void add_for_circle(CLI::App& app, CommandLine& out, const std::string& name, const std::string& what,
                    const std::string& circles, Meant meant, Result<Done> (*act)(Context&, const CircleView&)) {
    auto* sub = app.add_subcommand(name, what);
    auto words = std::make_shared<Words>();
    sub->add_option("circle", words->circle, circles)->required();
    sub->add_option("who", words->who, "Whose path, or which club if you are in several");
    sub->callback([&out, words, meant, act] {
        out.command = [words, meant, act](Context& context) -> Result<Answer> {
            TRY(const CircleView circle, meant(context, words->circle, words->who));
            TRY(const Done done, act(context, circle));
            return answer_of(done);
        };
    });
}

// The same, and the option that takes what is to be added.
Error said_with(const Error& asked, const std::string& option) {
    if (asked.fault() != Fault::bad_input) return asked;
    return {Fault::bad_input, asked.sentence() + " It goes after " + option + "."};
}

void add_remove(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("remove", "Take somebody out of your club, or off a path; the key is changed");
    auto words = std::make_shared<Words>();
    sub->add_option("who", words->who, "Name or call sign")->required();
    sub->add_option("--from", words->circle, "club or path")->required();
    sub->add_option("--of", words->newcomer, "Whose path, if it is not your own; or which club, if you are in several");
    sub->add_option("--because", words->because, "One line that the circle sees");
    sub->callback([&out, words] {
        out.command = [words](Context& context) -> Result<Answer> {
            const auto circle = circle_to_quit(context, words->circle, words->newcomer);
            if (!circle) return said_with(circle.error(), "--of");
            TRY(const Done done, remove_person(context, circle.value(), words->who, words->because));
            return answer_of(done);
        };
    });
}

void add_lost(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("lost", "Shut a lost device out of every circle, for good");
    auto words = std::make_shared<Words>();
    sub->add_option("device", words->circle, "Its label, or the first digits of its key")->required();
    sub->add_option("--of", words->who, "Whose device, if it is not your own");
    sub->callback([&out, words] {
        out.command = [words](Context& context) -> Result<Answer> {
            TRY(const Done done, report_lost(context, words->circle, words->who));
            return answer_of(done);
        };
    });
}

void add_consent(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("consent", "A guardian's consent on the path of somebody under 18");
    auto words = std::make_shared<Words>();
    sub->add_option("newcomer", words->newcomer, "Whose path")->required();
    sub->add_option("--until", words->until, "Last day, as 2026-11-25");
    sub->add_flag("--take-back", words->withdraw, "Take the consent back");
    sub->callback([&out, words] {
        if (words->until.empty() != words->withdraw) {
            throw CLI::ValidationError("Say either --until DAY or --take-back");
        }
        out.command = [words](Context& context) -> Result<Answer> {
            std::optional<Day> until;
            if (!words->withdraw) {
                TRY(until, parse_day(words->until));
            }
            TRY(const Done done, give_consent(context, words->newcomer, until));
            return answer_of(done);
        };
    });
}

std::string voice_words(const PersonSight& person) {
    return person.voice_checked ? "; verified by voice on " + to_iso(*person.voice_checked) : std::string();
}

void add_sees(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("sees", "Who is in which circle on which devices, and so who can read what");
    sub->callback([&out] {
        out.command = [](Context& context) -> Result<Answer> {
            TRY(const auto all, who_sees(context));
            std::vector<std::string> text;
            boost::json::array json;
            for (const CircleSight& circle : all) {
                text.push_back((circle.kind == "Desk" ? "Your desk" : circle.kind + " " + circle.name) + ", key " +
                               circle.key + " since " + to_iso_minute(circle.key_since) +
                               (circle.key_due ? ", a new one is due" : "") + ":");
                boost::json::array members;
                for (const PersonSight& p : circle.people) {
                    boost::json::array devices;
                    for (const std::string& device : p.devices) devices.push_back(boost::json::string(device));
                    text.push_back("  " + p.name + ", " + p.seat + (p.reads ? "" : ", reads nothing new") + ": " +
                                   lines_in_one(p.devices) + voice_words(p));
                    boost::json::object member{{"name", p.name}, {"as", p.seat}, {"key", p.key}, {"reads", p.reads}};
                    member["devices"] = std::move(devices);
                    if (p.voice_checked) member["verified_by_voice"] = to_iso(*p.voice_checked);
                    members.push_back(std::move(member));
                }
                for (const std::string& name : circle.gone) text.push_back("  " + name + ": gone, keeps what they had");
                boost::json::array notes;
                for (const std::string& note : circle.notes) {
                    text.push_back("  Note: " + note);
                    notes.push_back(boost::json::string(note));
                }
                json.push_back({{"kind", circle.kind},
                                {"name", circle.name},
                                {"epoch", circle.key},
                                {"since", to_iso_minute(circle.key_since)},
                                {"people", std::move(members)},
                                {"notes", std::move(notes)}});
            }
            TRY(const auto couriers, courier_sights(context));
            for (const CourierSight& sight : couriers) text.push_back(sight.circle + ": " + in_words(sight) + ".");
            text.push_back("Whoever only carries bundles or stores for others reads nothing.");
            return Answer{lines(text), std::move(json)};
        };
    });
}

}  // namespace

void add_going_commands(CLI::App& app, CommandLine& out) {
    add_for_circle(app, out, "leave", "Leave a club, or somebody's path; no reason is asked", "club or path",
                   circle_to_quit, leave_circle);
    add_for_circle(app, out, "take-back", "Ask a whole circle to stop showing what you said there so far",
                   "club, path or desk", circle_to_quit, take_back);
    add_remove(app, out);
    add_lost(app, out);
    add_for_circle(app, out, "rotate", "Give a circle a new key now; it also happens by itself", "club, path or desk",
                   circle_meant, rotate);
    add_consent(app, out);
    add_sees(app, out);
}

}  // namespace ladderline::node::cli
