#include <CLI/CLI.hpp>
#include <fstream>
#include <sstream>

#include "node/cli/command_line.hpp"
#include "node/commands/confirmed.hpp"
#include "node/commands/contacts.hpp"

namespace ladderline::node::cli {
namespace {

Result<std::string> read_file(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in) return Error{Fault::not_found, "The file " + path + " cannot be read; nothing was taken in."};
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

Result<Answer> do_import(Context& context, const std::string& text, const std::string& guest_of) {
    TRY(const ImportedLog log, import_adi(context, text, guest_of));
    std::vector<std::string> said{std::to_string(log.added) + " contacts written down, " + std::to_string(log.known) +
                                  " were known, " + std::to_string(log.left_out.size()) + " left out."};
    boost::json::array left_out;
    for (const std::string& sentence : log.left_out) {
        said.push_back("- " + sentence);
        left_out.push_back(boost::json::value(sentence));
    }
    return Answer{lines(said), {{"added", log.added}, {"known", log.known}, {"left_out", std::move(left_out)}}};
}

std::string place_of(const protocol::ContactBody& c) {
    return to_iso_minute(c.start) + "  " + (c.frequency.empty() ? c.band : c.frequency + " MHz") + " " + c.mode;
}

// What does not agree, for people to look at.
void add_other_logs(std::vector<std::string>& text, const std::vector<OtherLog>& others) {
    for (const OtherLog& log : others) {
        const std::string clocks = clock_words(log);
        if (!clocks.empty()) text.push_back(clocks);
        for (const OtherLog::Pair& pair : log.pairs) {
            if (!pair.differs) continue;
            text.push_back("Almost the same, but " + difference_words(*pair.differs) + ": " +
                           place_of(pair.own.contact) + "  and, with " + log.person.name + ", " +
                           place_of(pair.theirs.contact));
        }
        for (const ContactView& view : log.only_theirs) {
            text.push_back("Only in " + log.person.name + "'s log: " + place_of(view.contact));
        }
    }
}

Result<Answer> list_contacts(Context& context, const std::string& who) {
    TRY(const WayView view, way(context, who));
    const auto others = other_logs(view);
    std::vector<std::string> text;
    boost::json::array json;
    for (const ContactView& c : view.contacts) {
        const std::string by = confirmed_by(others, c.id);
        const std::string when = to_iso_minute(c.contact.start);
        const std::string where = c.contact.frequency.empty() ? c.contact.band : c.contact.frequency + " MHz";
        text.push_back(when + "  " + c.contact.worked + "  " + where + " " + c.contact.mode +
                       (by.empty() ? "" : "  [" + by + "'s log agrees]"));
        json.push_back({{"start", when},
                        {"worked", c.contact.worked},
                        {"station", c.contact.station},
                        {"frequency", c.contact.frequency},
                        {"band", c.contact.band},
                        {"mode", c.contact.mode},
                        {"sent", c.contact.sent},
                        {"received", c.contact.received},
                        {"confirmed_by", by}});
    }
    add_other_logs(text, others);
    if (text.empty())
        text.emplace_back("No contact is written down yet. The first one is best arranged: ladderline meet.");
    return Answer{lines(text), std::move(json)};
}

struct ContactOptions {
    ContactRequest request;
    std::string at;
    std::string file;
    std::string text;
};

void add_contact(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("contact", "Write a contact down, read a log file, or see your contacts");
    auto o = std::make_shared<ContactOptions>();
    sub->add_option("worked", o->request.worked, "The other station's call sign; the list without it");
    sub->add_option("--for", o->request.who, "The newcomer whose path it belongs on; your own without it");
    sub->add_option("--at", o->at, "Start in UTC, as 2026-11-25T19:30Z");
    sub->add_option("--mhz", o->request.frequency, "Frequency in MHz");
    sub->add_option("--band", o->request.band, "Band, if the frequency is not known");
    sub->add_option("--mode", o->request.mode, "FM, SSB, CW ...");
    sub->add_option("--sent", o->request.sent, "Report sent");
    sub->add_option("--received", o->request.received, "Report received");
    sub->add_option("--guest-of", o->request.guest_of, "Call sign of the licensed operator in control");
    sub->add_option("--locator", o->request.locator, "The other station's locator");
    sub->add_option("--comment", o->request.comment, "A few words");
    sub->add_option("--from-adi", o->file, "Take in a log file in ADI form")
        ->transform([folder = out.folder](const std::string& name) { return (folder / name).string(); });
    sub->callback([&out, o] {
        out.command = [o](Context& context) -> Result<Answer> {
            if (!o->file.empty()) {
                TRY(const std::string text, read_file(o->file));
                return do_import(context, text, o->request.guest_of);
            }
            if (o->request.worked.empty()) return list_contacts(context, o->request.who);
            if (o->at.empty()) return Error{Fault::bad_input, "Say when it began: --at 2026-11-25T19:30Z."};
            TRY(o->request.start, parse_utc(o->at));
            TRY(const Done done, log_contact(context, o->request));
            return answer_of(done);
        };
    });
}

}  // namespace

void add_contact_commands(CLI::App& app, CommandLine& out) {
    add_contact(app, out);
}

}  // namespace ladderline::node::cli
