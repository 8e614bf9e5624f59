// Joining: with an invite code, or with check words compared by voice; and the greeting that the other side opens.

#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/spoken.hpp"

namespace ladderline::node::cli {
namespace {

using protocol::CircleKind;

constexpr std::size_t letters_typed = 2;

struct JoinWords {
    JoinOptions options;
    bool same = false;
    bool different = false;
};

void check_join(const JoinWords& words) {
    const bool answers = words.same || words.different;
    if (words.same && words.different) throw CLI::ValidationError("Say either --same or --different");
    if (answers && (!words.options.code.empty() || words.options.by_voice)) {
        throw CLI::ValidationError("--same and --different answer a call that is under way; give them alone");
    }
    if (!answers && words.options.code.empty()) {
        throw CLI::ValidationError(words.options.by_voice ? "Say where to call, as HOST:PORT --by-voice"
                                                          : "Give the invite code, beginning with LADDER-");
    }
}

void add_join(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("join", "Join with an invite code, or by check words compared by voice");
    auto words = std::make_shared<JoinWords>();
    sub->add_option("code", words->options.code, "The code, beginning with LADDER-; with --by-voice, host:port");
    sub->add_flag("--under-18", words->options.under_18, "You are under 18");
    sub->add_flag("--by-voice", words->options.by_voice,
                  "No code: compare six words with the person whose node waits for you");
    sub->add_flag("--same", words->same, "The six words were the same on both sides");
    sub->add_flag("--different", words->different, "They were not: nothing is told");
    sub->callback([&out, words] {
        check_join(*words);
        if (words->same || words->different) words->options.is_same = words->same;
        out.call_here = words->options.by_voice;
        out.join = words->options;
    });
}

struct GreetWords {
    GreetOptions options;
    std::string circle;
    std::string seat;
    std::string heard;
    int level = 3;
    bool wait = false;
    bool different = false;
    bool shut = false;
};

GreetOptions::What what_of(const GreetWords& words) {
    using What = GreetOptions::What;
    const int count = !words.circle.empty() + words.wait + !words.heard.empty() + words.different + words.shut;
    if (count > 1) throw CLI::ValidationError("One thing at a time: a circle, --wait, --heard, --different or --close");
    if (words.circle.empty() != words.seat.empty()) {
        throw CLI::ValidationError("Say the circle and the seat, as in 'ladderline greet club --as newcomer'");
    }
    if (!words.circle.empty()) return What::open;
    if (words.wait) return What::wait;
    if (!words.heard.empty()) return What::heard;
    if (words.different) return What::differ;
    return words.shut ? What::shut : What::show;
}

Result<void> read_greet(GreetWords& words) {
    GreetOptions& options = words.options;
    if (options.what == GreetOptions::What::heard) {
        TRY(options.heard, spoken_letters(words.heard, letters_typed));
    }
    if (options.what != GreetOptions::What::open) return ok();
    if (words.circle != "path" && words.circle != "club") {
        return Error{Fault::bad_input, "'" + words.circle + "' is nothing to greet into; say path or club."};
    }
    options.request.circle = words.circle == "club" ? CircleKind::club : CircleKind::path;
    options.request.level = static_cast<std::uint8_t>(words.level);
    TRY(options.request.role, parse_role(words.seat));
    return ok();
}

void add_greet(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("greet", "Let in one person without a code: you compare six words by voice");
    auto words = std::make_shared<GreetWords>();
    sub->add_option("circle", words->circle, "path or club; alone: how the greeting stands");
    sub->add_option("--as", words->seat, "newcomer, mentor, guardian, second-adult or officer");
    sub->add_option("--level", words->level, "Highest skill level they may sign: 2 with help, 3 alone, 4 taught it")
        ->check(CLI::Range(0, 4));
    sub->add_flag("--wait", words->wait, "Wait until somebody calls, or answers");
    sub->add_option("--heard", words->heard, "The last two letters that you heard them say");
    sub->add_flag("--different", words->different, "The words were not the same");
    sub->add_flag("--close", words->shut, "Let nobody in");
    sub->callback([&out, words] {
        words->options.what = what_of(*words);
        const Result<void> read = read_greet(*words);
        if (!read) throw CLI::ValidationError(read.error().sentence());
        out.greet = words->options;
        out.greet_here = words->options.what == GreetOptions::What::open;
    });
}

}  // namespace

void add_greeting_commands(CLI::App& app, CommandLine& out) {
    add_join(app, out);
    add_greet(app, out);
}

}  // namespace ladderline::node::cli
