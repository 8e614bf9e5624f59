// Wiring only: the command line is read, a running node is asked or the store is opened here, the answer is printed.

#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <new>
#include <type_traits>

#include "node/app/build_facts.hpp"
#include "node/app/courier_calls.hpp"
#include "node/app/dialogue.hpp"
#include "node/app/doors.hpp"
#include "node/app/execute.hpp"
#include "node/app/greetings.hpp"
#include "node/app/guide.hpp"
#include "node/app/home.hpp"
#include "node/app/joining.hpp"
#include "node/app/key_files.hpp"
#include "node/app/machine.hpp"
#include "node/app/paper_dialogue.hpp"
#include "node/app/progress_line.hpp"
#include "node/app/recovery.hpp"
#include "node/app/running_courier.hpp"
#include "node/app/running_node.hpp"
#include "node/app/store_place.hpp"
#include "node/app/store_upkeep.hpp"
#include "node/app/system_env.hpp"
#include "node/app/terminal.hpp"
#include "node/app/voice_dialogue.hpp"
#include "node/commands/couriers.hpp"

namespace {

using namespace ladderline;
using namespace ladderline::node;

int print(const ControlAnswer& answer) {
    write_words(stdout, answer.out);
    write_words(stderr, answer.err);
    return answer.exit_code;
}

template <class T>
int print_outcome(const Result<T>& outcome, bool json) {
    if (!outcome) return print(to_answer(outcome.error(), json));
    if constexpr (std::is_same_v<T, Done>) return print(to_answer(cli::answer_of(outcome.value()), json));
    if constexpr (std::is_same_v<T, cli::Answer>) return print(to_answer(outcome.value(), json));
    return 0;
}

int begin_here(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env) {
    const auto sound = line.begin ? check_begin(*line.begin) : Result<void>(ok());
    if (!sound) return print(to_answer(sound.error(), line.json));  // before there is a store
    const auto good_place = check_store_place(folder);
    if (!good_place) return print(to_answer(good_place.error(), line.json));
    const auto passphrase = read_passphrase(line.passphrase_file, true);
    if (!passphrase) return print(to_answer(passphrase.error(), line.json));
    const auto home = create_home(folder, passphrase.value().view(), env);
    if (!home) return print(to_answer(home.error(), line.json));
    if (line.begin_courier) return print_outcome(begin_courier(*home.value()->context), line.json);
    return print_outcome(begin(*home.value()->context, *line.begin), line.json);
}

// The key file or the paper key if one is named, else the passphrase.
Result<Unlock> read_unlock_of(const cli::CommandLine& line) {
    if (!line.key_file) return read_unlock(line.passphrase_file, line.paper_key, line.paper_key_file);
    Unlock out;
    out.by = store::vault::SlotType::key_file;
    TRY(out.secret, read_key_file(*line.key_file));
    return out;
}

// What opens a store is asked for once more after a slip, where a person types it at a terminal.
template <class Open>
auto open_asking(const cli::CommandLine& line, const Open& open) -> std::invoke_result_t<const Open&, Unlock&> {
    constexpr int tries_max = 3;
    const bool has_passphrase_file = line.passphrase_file || std::getenv("LADDERLINE_PASSPHRASE_FILE") != nullptr;
    const bool from_file = line.key_file || line.paper_key_file || (has_passphrase_file && !line.paper_key);
    const bool asks = !from_file && isatty(STDIN_FILENO) != 0;
    for (int tries = 1;; ++tries) {
        auto unlock = read_unlock_of(line);
        using Outcome = std::invoke_result_t<const Open&, Unlock&>;
        auto opened = unlock ? open(unlock.value()) : Outcome(unlock.error());
        if (opened) return opened;
        const Fault fault = opened.error().fault();
        const bool is_slip = fault == Fault::wrong_key || (fault == Fault::bad_input && !unlock);
        if (!asks || tries == tries_max || !is_slip) return opened;
        write_words(stderr, opened.error().sentence() + "\n");
    }
}

int with_closed_store(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env) {
    const auto good_place = line.mend ? store_must_be_there(folder) : check_store_place(folder);
    if (!good_place) return print(to_answer(good_place.error(), line.json));
    const auto outcome = open_asking(line, [&](const Unlock& unlock) {
        ProgressLine progress(env.clock, line.mend ? "Mending" : "Restoring");
        return line.mend ? mend_home(folder, unlock, env, progress.progress())
                         : restore_home(*line.restore_from, folder, unlock, env, progress.progress());
    });
    return print_outcome(outcome, line.json);
}

int recover_here(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env) {
    const auto good_place = check_store_place(folder);
    if (!good_place) return print(to_answer(good_place.error(), line.json));
    const auto paper = read_paper(line.paper_key_file);
    if (!paper) return print(to_answer(paper.error(), line.json));
    const auto passphrase = read_passphrase(line.passphrase_file, true);
    if (!passphrase) return print(to_answer(passphrase.error(), line.json));
    const auto home = recovery_home(folder, passphrase.value().view(), paper.value(), env);
    if (!home) return print(to_answer(home.error(), line.json));
    const auto tell = [&](const std::string& said) {
        if (!line.json) write_words(stderr, said + "\n");
    };
    return print_outcome(recover(*home.value(), env, *line.recover, tell), line.json);
}

// A command that is a dialogue on this terminal, around commands that `ask` runs. None if it is not one.
std::optional<int> dialogue(const cli::CommandLine& line, const std::vector<std::string>& words, Env& env,
                            const std::function<ControlAnswer(ControlRequest)>& ask) {
    if (line.json || isatty(STDIN_FILENO) == 0) return std::nullopt;
    if (line.practise_here) return practise_on_terminal(words, ask);
    if (line.paper_here) return show_paper_on_terminal(words, ask, env.random);
    if (line.greet_here) return greet_on_terminal(words, ask);
    if (line.call_here) return call_on_terminal(words, ask);
    return std::nullopt;
}

struct Opened {
    Unlock unlock;
    std::unique_ptr<OpenHome> home;
};

int with_open_store(const cli::CommandLine& line, const std::filesystem::path& folder, Env& env) {
    const auto begun = store_must_be_there(folder);
    if (!begun) return print(to_answer(begun.error(), line.json));
    auto asked = open_asking(line, [&](Unlock& unlock) -> Result<Opened> {
        TRY(auto home, open_home(folder, unlock, env));
        return Opened{std::move(unlock), std::move(home)};
    });
    if (!asked) return print(to_answer(asked.error(), line.json));
    Unlock& unlock = asked.value().unlock;
    std::unique_ptr<OpenHome>& opened = asked.value().home;
    if (!opened->store->notice().empty()) write_words(stderr, opened->store->notice() + "\n");
    if (line.keys) {
        const auto said = at_the_doors(*line.keys, std::move(opened), unlock, env);
        return print(said ? to_answer(said.value(), line.json) : to_answer(said.error(), line.json));
    }
    unlock = {};  // wiped: what follows may run for months
    OpenHome& home = *opened;
    if (line.back_up_to) {
        ProgressLine progress(env.clock, "Copying");
        return print_outcome(back_up_home(home, env, *line.back_up_to, progress.progress()), line.json);
    }
    if (line.check) {
        ProgressLine progress(env.clock, "Checking");
        return print(check_home(home, env, *line.check, line.json, progress.progress()));
    }
    const auto fits = fits_store(line, *home.context);
    if (!fits) return print(to_answer(fits.error(), line.json));
    if (line.run) {
        const auto courier = is_courier(home.store->db());
        const bool keeps = courier && courier.value();
        return print_outcome(keeps ? run_courier(home, env, *line.run) : run_node(home, env, *line.run), line.json);
    }
    if (line.courier_call) return print_outcome(call_courier_once(home, env, *line.courier_call), line.json);
    if (line.greet || (line.join && line.join->is_same)) {
        return print(to_answer(Error{Fault::not_found,
                                     "No node runs on this store, so nobody can call; start it with 'ladderline run', "
                                     "and try again."},
                               line.json));
    }
    if (line.join && line.join->by_voice) {
        return print_outcome(join_by_voice_once(home, env, *line.join, ask_whether_same), line.json);
    }
    if (line.join) return print_outcome(join_once(home, env, *line.join), line.json);
    if (line.new_pages_address || line.feed || line.phone) {
        return print(to_answer(Error{Fault::not_found, "No node runs on this store; start it with 'ladderline run'."},
                               line.json));
    }
    const auto talked = dialogue(line, line.practise_words, env, [&](const ControlRequest& request) {
        const auto command = cli::parse_command_line(request.words);
        return command ? execute(command.value(), *home.context) : to_answer(command.error(), true);
    });
    if (talked) return *talked;
    if (!line.long_work.empty()) {
        ProgressLine progress(env.clock, line.long_work.c_str());
        home.context->going_on = progress.progress();
        return print(execute(line, *home.context));
    }
    return print(execute(line, *home.context));
}

int run_command_line(const std::vector<std::string>& words) {
    const auto parsed = cli::parse_command_line(words);
    if (!parsed) return print(to_answer(parsed.error(), cli::wants_json(words)));
    cli::CommandLine line = parsed.value();
    if (line.help) {
        write_words(stdout, *line.help + "\n");
        return 0;
    }
    if (line.version) return print(to_answer(build_facts(), line.json));
    line.practise_words = words;
    const auto folder = home_folder(line.home);
    if (!folder) return print(to_answer(folder.error(), line.json));
    const bool is_dialogue = line.practise_here || line.paper_here || line.greet_here || line.call_here;
    const bool talks = is_dialogue && !line.json && isatty(STDIN_FILENO) != 0;
    std::error_code unknown;
    const std::filesystem::path here = std::filesystem::current_path(unknown);
    if (line.join && line.join->is_same == true && !line.json && isatty(STDERR_FILENO) != 0) {
        std::fputs("Waiting for their word, ten minutes at most.\n", stderr);
    }
    const auto running =
        ask_running_node(folder.value(), {talks ? std::vector<std::string>{"next", "--json"} : words, here.string()});
    if (!running) return print(to_answer(running.error(), line.json));
    SystemClock clock;
    SystemRandom random;
    Env env{clock, random};
    if (running.value() && talks) {
        const auto talked = dialogue(line, words, env, [&](const ControlRequest& request) {
            const auto answer = ask_running_node(folder.value(), request);
            if (!answer) return to_answer(answer.error(), true);
            return answer.value() ? *answer.value() : to_answer(Error{Fault::network, "The node has stopped."}, true);
        });
        return talked.value_or(0);
    }
    if (running.value()) return print(*running.value());
    if (line.begin && line.begin_asks) return begin_by_guide(line, folder.value(), env);
    if (line.begin || line.begin_courier) return begin_here(line, folder.value(), env);
    if (line.recover) return recover_here(line, folder.value(), env);
    if (line.mend || line.restore_from) return with_closed_store(line, folder.value(), env);
    return with_open_store(line, folder.value(), env);
}

}  // namespace

int main(int count, char** words) {
    guard_process();
    unbuffer_typing();
    protocol::init_crypto();
    try {
        return run_command_line(std::vector<std::string>(words + 1, words + count));
    } catch (const std::bad_alloc&) {
        std::fputs(
            "ladderline: There is not enough free memory: nothing of this step was stored; close other programs and "
            "try again.\n",
            stderr);
        return 3;
    }
}
