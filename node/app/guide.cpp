#include "node/app/guide.hpp"

#include <date/tz.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <iostream>
#include <stdexcept>

#include "node/app/execute.hpp"
#include "node/app/greetings.hpp"
#include "node/app/home.hpp"
#include "node/app/joining.hpp"
#include "node/app/paper_dialogue.hpp"
#include "node/app/store_place.hpp"
#include "node/app/terminal.hpp"
#include "node/app/voice_dialogue.hpp"
#include "node/domain/meeting/local_time.hpp"
#include "store/vault/key_file.hpp"

namespace ladderline::node {
namespace {

using protocol::MemberRole;

constexpr int tries_max = 3;
constexpr int stopped_exit = 10;

// The answers have ended: the person went away, or the script is over.
struct AnswersEnded {};

std::string ask(const std::string& question) {
    std::printf("%s ", question.c_str());
    std::fflush(stdout);
    std::string line;
    if (!std::getline(std::cin, line)) throw AnswersEnded{};
    const std::size_t first = line.find_first_not_of(" \t\r");
    if (first == std::string::npos) return {};
    return line.substr(first, line.find_last_not_of(" \t\r") + 1 - first);
}

// Capitals of plain letters made small.
std::string small(std::string text) {
    for (char& c : text) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return text;
}

bool ask_yes(const std::string& question, bool otherwise) {
    for (;;) {
        const std::string said = small(ask(question + (otherwise ? " yes or no [yes]:" : " yes or no [no]:")));
        if (said.empty()) return otherwise;
        if (said == "yes" || said == "y") return true;
        if (said == "no" || said == "n") return false;
        std::printf("Please type yes or no.\n");
    }
}

// 1 to `count`; Enter takes `otherwise`. `names`: what may be typed in place of a number, in their order.
int ask_number(const std::string& question, int count, const std::vector<std::string>& names = {}, int otherwise = 1) {
    for (;;) {
        const std::string said = small(ask(question + " [" + std::to_string(otherwise) + "]:"));
        if (said.empty()) return otherwise;
        if (said.size() == 1 && said[0] >= '1' && said[0] < '1' + count) return said[0] - '0';
        const auto named = std::find(names.begin(), names.end(), said);
        if (named != names.end()) return static_cast<int>(named - names.begin()) + 1;
        std::printf("Please type one of the numbers 1 to %d.\n", count);
    }
}

void say(const std::string& text) {
    write_words(stdout, text + "\n");
}

constexpr const char* once_more = " Please answer once more.";

int tell(const Error& error) {
    std::fflush(stdout);
    write_words(stderr, "ladderline: " + error.sentence() + "\n");
    return cli::exit_code_of(error.fault());
}

struct Seat {
    MemberRole role;
    const char* name;
    const char* says;
};
constexpr std::array<Seat, 5> seats{{
    {MemberRole::newcomer, "newcomer", "on the way to a licence, or to the first contacts"},
    {MemberRole::mentor, "mentor", "experienced, and helping newcomers"},
    {MemberRole::officer, "officer", "somebody who founds a club here, today"},
    {MemberRole::guardian, "guardian", "a parent or guardian of somebody under 18"},
    {MemberRole::second_adult, "second adult", "the second grown-up beside a mentor of somebody under 18"},
}};

const char* name_of(MemberRole role) {
    for (const Seat& seat : seats) {
        if (seat.role == role) return seat.name;
    }
    return "member";
}

std::string zone_of_machine() {
    try {
        return date::current_zone()->name();
    } catch (const std::runtime_error&) {
        return {};
    }
}

// What a person may mean by the name of a place: the zone so called, with blanks or in small letters, or those whose
// names end in it, such as US/Eastern for "eastern".
std::vector<std::string> zones_like(const std::string& said) {
    std::string wanted = small(said);
    std::replace(wanted.begin(), wanted.end(), ' ', '_');
    std::vector<std::string> out;
    for (const date::time_zone& zone : date::get_tzdb().zones) {
        const std::string name = small(zone.name());
        if (name == wanted) return {zone.name()};
        if (name.ends_with("/" + wanted)) out.push_back(zone.name());
    }
    return out;
}

std::string ask_zone(const std::string& before) {
    const std::string here = before.empty() ? zone_of_machine() : before;
    const std::string question = "\nYour time zone, such as America/New_York" + (here.empty() ? "" : " [" + here + "]");
    for (;;) {
        const std::string said = ask(question + ":");
        if (said.empty()) return here;
        if (domain::Zone::find(said)) return said;
        std::vector<std::string> like;
        try {
            like = zones_like(said);
        } catch (const std::runtime_error&) {  // the machine has no list of zones
        }
        if (like.size() == 1) return like.front();
        constexpr std::size_t shown_max = 4;
        if (like.empty() || like.size() > shown_max) {
            say("No time zone is called '" + said +
                "'. Type a big city that has the same time as you, such as Chicago or London." + once_more);
            continue;
        }
        std::string all;
        for (const std::string& one : like) all += (all.empty() ? "" : " or ") + one;
        say("Do you mean " + all + "?" + once_more);
    }
}

MemberRole ask_seat(MemberRole before) {
    say("\nWhat are you here?");
    int number = 0;
    int otherwise = 1;
    std::vector<std::string> names;
    for (const Seat& seat : seats) {
        std::printf("  %d  %s: %s\n", ++number, seat.name, seat.says);
        names.emplace_back(seat.name);
        if (seat.role == before) otherwise = number;
    }
    const int chosen = ask_number("A number from 1 to 5", static_cast<int>(seats.size()), names, otherwise);
    return seats[static_cast<std::size_t>(chosen - 1)].role;
}

// One answer, looked at as soon as it is given: a slip costs this one question and no other. Enter takes `before`.
std::string ask_field(const std::string& question, std::string BeginRequest::*field, bool may_be_empty,
                      const std::string& before, BeginRequest probe = {}) {
    for (;;) {
        std::string said = ask(question + (before.empty() ? "" : " [" + before + "]"));
        if (may_be_empty && (small(said) == "none" || small(said) == "no")) return {};
        if (said.empty()) said = before;
        if (said.empty()) {
            if (may_be_empty) return said;
            continue;
        }
        probe.*field = said;
        const auto sound = check_begin(probe);
        if (sound) return said;
        say(sound.error().sentence() + once_more);
    }
}

// What the command line said is not asked. `before`: what was answered, if it was asked before.
BeginRequest ask_who(const BeginRequest& given, bool has_seat, const BeginRequest& before) {
    BeginRequest out = given;
    if (out.name.empty()) {
        out.name = ask_field("\nWhat do you want to be called?", &BeginRequest::name, false, before.name);
    }
    BeginRequest probe;  // with nothing in it that the command line said
    probe.name = "Somebody";
    if (!has_seat) out.role = ask_seat(before.role);
    if (out.role == MemberRole::newcomer && !out.under_18) {
        say("");
        out.under_18 = ask_yes("Are you under 18?", before.under_18);
    }
    if (out.under_18) {
        say("Then do this together with your guardian. A guardian and a second adult come onto your way before any "
            "mentor does; the program sees to that.");
    }
    if (out.role == MemberRole::officer && out.club.empty()) {
        BeginRequest officer = probe;
        officer.role = MemberRole::officer;
        out.club = ask_field("\nThe name of the club:", &BeginRequest::club, false, before.club, officer);
    }
    if (out.call_sign.empty()) {
        const std::string question = before.call_sign.empty() ? "\nYour call sign, or Enter if you have none yet:"
                                                              : "\nYour call sign, or 'none':";
        out.call_sign = ask_field(question, &BeginRequest::call_sign, true, before.call_sign, probe);
    }
    if (out.zone.empty()) out.zone = ask_zone(before.zone);
    return out;
}

void show_request(const BeginRequest& request, const std::filesystem::path& folder) {
    say("\nThis is what will be made:");
    say("  name       " + request.name + (request.under_18 ? ", under 18" : ""));
    say("  as         " + std::string(name_of(request.role)));
    if (!request.club.empty()) say("  club       " + request.club);
    say("  call sign  " + (request.call_sign.empty() ? std::string("none yet") : request.call_sign));
    say("  time zone  " + (request.zone.empty() ? std::string("not said") : request.zone));
    say("  in folder  " + folder.string());
}

// Asked until it can be so and the person says yes; what was answered need not be typed again.
BeginRequest agreed_request(BeginRequest given, bool has_seat, const std::filesystem::path& folder) {
    BeginRequest before;
    for (;;) {
        BeginRequest request = ask_who(given, has_seat, before);
        const auto sound = check_begin(request);
        if (sound) {
            show_request(request, folder);
            if (ask_yes("Is that right?", true)) return request;
        } else {
            say("\n" + sound.error().sentence() + once_more);
        }
        say("\nThen once more. Enter keeps what stands in brackets.");
        before = std::move(request);
        given = {};  // what the command line said may be what is wrong
        has_seat = false;
    }
}

Result<protocol::SecretBytes> ask_passphrase(const std::optional<std::string>& file) {
    say("\nNow a passphrase. It opens your store on this machine, and nobody can reset it: take six or seven words "
        "that "
        "you will remember and nobody will guess. You do not see them while you type.");
    std::fflush(stdout);
    return read_passphrase(file, true);
}

// Where there are keys already: they belong to a store that has an owner, which is refused, or to a beginning that was
// cut off, by a full disk perhaps. Only the passphrase of then tells which. Null: there are none.
Result<std::unique_ptr<OpenHome>> begun_before(const std::optional<std::string>& file,
                                               const std::filesystem::path& folder, Env& env) {
    store::RealDisk disk;
    TRY(const bool has_keys, store::vault::has_key_file(disk, folder));
    if (!has_keys) return std::unique_ptr<OpenHome>();
    if (asks_for_passphrase(file)) {
        say("Somebody has begun in " + folder.string() + " already. The passphrase that was chosen then is needed.");
        std::fflush(stdout);
    }
    for (int tries = 1;; ++tries) {
        TRY(const auto passphrase, read_passphrase(file, false));
        auto home = create_home(folder, passphrase.view(), env);
        const bool is_slip = !home && home.error().fault() == Fault::wrong_key;
        if (!is_slip || tries == tries_max || !asks_for_passphrase(file)) return home;
        write_words(stderr, home.error().sentence() + "\n");
    }
}

void write_down_paper(OpenHome& home, Env& env) {
    say("\nNow your spare key. If you forget the passphrase or lose this machine, these six groups are the only way "
        "back.\nTake pen and paper.\n");
    const auto run = [&home](const ControlRequest& request) {
        const auto command = cli::parse_command_line(request.words);
        return command ? execute(command.value(), *home.context) : to_answer(command.error(), true);
    };
    for (int tries = 1; tries <= tries_max; ++tries) {
        if (show_paper_on_terminal({"paper"}, run, env.random) == 0) return;
        std::fflush(stdout);
    }
    say("Your next step reminds you of it until it is written down.");
}

bool join_with(OpenHome& home, Env& env, const BeginRequest& request, bool by_voice) {
    for (int tries = 1; tries <= tries_max; ++tries) {
        cli::JoinOptions options;
        options.under_18 = request.under_18;
        options.by_voice = by_voice;
        options.code = ask(by_voice ? "The address that they read out, such as 192.168.1.20:7300; Enter for later:"
                                    : "The code, beginning with LADDER-; Enter for later:");
        if (options.code.empty()) return false;
        const auto joined =
            by_voice ? join_by_voice_once(home, env, options, ask_whether_same) : join_once(home, env, options);
        if (joined) {
            say(joined.value().sentence);
            return true;
        }
        say(joined.error().sentence());
    }
    return false;
}

void enter_first_circle(OpenHome& home, Env& env, const BeginRequest& request) {
    if (request.role == MemberRole::officer) {
        say("\nYour club is your first circle. Let the others in while 'ladderline run' runs in another window:\n"
            "  ladderline greet club --as newcomer     with somebody who is on the telephone with you\n"
            "  ladderline invite club --as mentor      with a code");
        return;
    }
    say("\nWho is with you? Their node must be running now.");
    say("  1  somebody gave me a code");
    say("  2  somebody is on the telephone with me, and their node waits for my call");
    say("  3  nobody yet");
    const int chosen = ask_number("A number from 1 to 3", 3);
    if (chosen != 3 && join_with(home, env, request, chosen == 2)) return;
    say("That can be done on any day: 'ladderline join CODE', or 'ladderline join ADDRESS --by-voice'.");
}

void say_what_follows(OpenHome& home, const BeginRequest& request) {
    say("\nYou are set up. What comes now:");
    say("  ladderline run      opens your pages and syncs; leave it running, and open the address that it prints");
    if (request.role == MemberRole::newcomer) say("  ladderline next     your one next step");
    if (request.role == MemberRole::mentor) say("  ladderline card     how many newcomers you have room for, and when");
    if (request.role == MemberRole::officer) say("  ladderline review   who needs the club");
    say("  ladderline backup FOLDER    a sealed copy, on a stick for example");
    if (request.role != MemberRole::newcomer) return;
    const auto next = cli::parse_command_line({"next"});
    if (next) write_words(stdout, "\n" + execute(next.value(), *home.context).out);
}

// `home`: null, unless a beginning that was cut off is gone on with.
int guide(const cli::CommandLine& line, const std::filesystem::path& folder, std::unique_ptr<OpenHome> home, Env& env) {
    say("Ladderline begins here: seven short questions and about ten minutes. Have a pen and a sheet of paper ready.\n"
        "Nothing is made before you have seen it all again. Ctrl-C ends this.");
    if (const auto good_place = check_store_place(folder); !good_place) return tell(good_place.error());
    const BeginRequest request = agreed_request(*line.begin, line.begin_has_seat, folder);
    if (!home) {
        const auto passphrase = ask_passphrase(line.passphrase_file);
        if (!passphrase) return tell(passphrase.error());
        auto made = create_home(folder, passphrase.value().view(), env);
        if (!made) return tell(made.error());
        home = std::move(made).value();
    }
    const auto begun = begin(*home->context, request);
    if (!begun) return tell(begun.error());
    try {
        say("\nWelcome, " + request.name + ". Your store is made.");
        write_down_paper(*home, env);
        enter_first_circle(*home, env, request);
        say_what_follows(*home, request);
    } catch (const AnswersEnded&) {
        say("\nWhat was done so far is kept. 'ladderline paper' shows the spare key; 'ladderline join' goes on.");
    }
    return 0;
}

}  // namespace

int begin_by_guide(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env) {
    auto home = begun_before(line.passphrase_file, folder, env);
    if (!home) return tell(home.error());
    try {
        return guide(line, folder, std::move(home).value(), env);
    } catch (const AnswersEnded&) {
        say("");
        tell({Fault::cancelled, "The answers ended before everything was said; nothing was made."});
        return stopped_exit;
    }
}

}  // namespace ladderline::node
