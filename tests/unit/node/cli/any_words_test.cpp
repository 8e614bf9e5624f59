// Whatever words somebody types: every command answers, or refuses with one sentence and leaves the store as it was.

#include <fstream>
#include <random>

#include "node/app/execute.hpp"
#include "node/cli/command_tree.hpp"
#include "node/commands/contacts.hpp"
#include "tests/support/scratch.hpp"
#include "tests/support/test_size.hpp"
#include "tests/unit/node/web/edge_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::cli::CommandText;
using node::cli::OptionText;

namespace {

// What commands ask for, and what they do not.
const std::vector<std::string> words{"",
                                     "0",
                                     "-1",
                                     "7",
                                     "36",
                                     "37",
                                     "59",
                                     "99999999999999999999",
                                     "1e308",
                                     "nan",
                                     "-inf",
                                     "0x10",
                                     std::string(5000, 'a'),
                                     "\u202eabc",
                                     "\xff\xfe",
                                     "a\nb",
                                     "\x1b[2J",
                                     "'\"%s%n$(id)",
                                     "<script>",
                                     "2026-09-21",
                                     "2026-02-30",
                                     "9999-12-31",
                                     "0001-01-01",
                                     "2026-09-22T19:30Z",
                                     "9999-12-31T23:59Z",
                                     "Nadia",
                                     "Marten",
                                     "Olga",
                                     "Nobody",
                                     "KD0XAA",
                                     "KD0XBB/P",
                                     "QQ1",
                                     "04.06",
                                     "09.06",
                                     "99.99",
                                     "146.52",
                                     "-7.1",
                                     "FM",
                                     "SSB",
                                     "20m",
                                     "EM48",
                                     "DN70kf",
                                     "Tue 18:00-21:00",
                                     "Tue 25:00-99:00",
                                     "America/New_York",
                                     "Nowhere/Land",
                                     "last",
                                     "all",
                                     "path",
                                     "club",
                                     "mentor",
                                     "guardian",
                                     "off",
                                     "A",
                                     "ABCD?",
                                     "technician",
                                     "us",
                                     "antenna",
                                     "127.0.0.1:1",
                                     "::1",
                                     "host:99999",
                                     "lines.txt",
                                     "none.txt",
                                     "folder",
                                     "."};

// Leaves of the tree: what can be done.
void leaves(const CommandText& command, std::vector<const CommandText*>& out) {
    if (command.commands.empty()) out.push_back(&command);
    for (const CommandText& sub : command.commands) leaves(sub, out);
}

class Typist {
public:
    explicit Typist(std::uint32_t seed) : random_(seed) { leaves(program_, commands_); }

    std::vector<std::string> line() {
        const CommandText& command = *one_of(commands_);
        std::vector<std::string> out;
        for (std::size_t at = 0; at < command.name.size();) {
            const std::size_t end = std::min(command.name.find(' ', at), command.name.size());
            out.push_back(command.name.substr(at, end - at));
            at = end + 1;
        }
        for (const OptionText& option : command.options) {
            if (!option.required && below(4) != 0) continue;
            if (!option.by_place) out.push_back(option.name);
            if (option.by_place || !option.value.empty()) out.push_back(one_of(words));
        }
        if (below(8) == 0) out.push_back(one_of(words));
        if (below(4) == 0) out.emplace_back("--json");
        return out;
    }
    std::size_t below(std::size_t bound) { return random_() % bound; }

private:
    template <class T>
    const T& one_of(const std::vector<T>& all) {
        return all[below(all.size())];
    }

    std::mt19937 random_;
    CommandText program_ = node::cli::command_tree();
    std::vector<const CommandText*> commands_;
};

struct Tally {
    int done = 0;
    int refused = 0;
    int misread = 0;
};

bool is_one_sentence(const std::string& err) {
    return err.starts_with("ladderline: ") && err.ends_with('\n') && std::count(err.begin(), err.end(), '\n') == 1 &&
           err.size() < 8000;
}

void type(MemberNode& member, const std::vector<std::string>& line, const std::filesystem::path& folder, Tally& tally) {
    std::string shown;
    for (const std::string& word : line) shown += word.substr(0, 60) + " ";
    CAPTURE(shown);
    const auto read = node::cli::parse_command_line(line, folder);
    if (!read) {
        CHECK(is_one_sentence(node::to_answer(read.error(), false).err));
        ++tally.misread;
        return;
    }
    if (!read.value().command || !node::fits_store(read.value(), member.context)) return;
    const std::int64_t events = member.events();
    const node::ControlAnswer answer = node::execute(read.value(), member.context);
    if (answer.exit_code == 0) {
        ++tally.done;
        if (read.value().json) CHECK_NOTHROW(boost::json::parse(answer.out));
        return;
    }
    ++tally.refused;
    CHECK(is_one_sentence(answer.err));
    CHECK(member.events() == events);
}

// Nadia with a call sign, a contact and a question, so that there is something to change.
void live(Cast& cast) {
    node::CardRequest card;
    card.call_sign = "KD0XBB";
    must(node::change_card(cast.mentor.context, card));
    tick_item(cast.newcomer, "04.06", "KD0XAA");
    node::ContactRequest contact;
    contact.worked = "KD0XBB";
    contact.start = cast.clock.now;
    contact.frequency = "146.52";
    contact.mode = "FM";
    must(node::log_contact(cast.newcomer.context, contact));
    cast.everybody_syncs();
}

void type_many(Cast& cast, std::uint32_t seed, int lines, Tally& tally) {
    Typist typist(seed);
    const ScratchFolder folder;
    std::ofstream(folder / "lines.txt") << "1905 KD0XBB 146.52 FM 59 57 Anna\n04.06 2026-09-21\nnonsense\n";
    std::filesystem::create_directory(folder / "folder");
    MemberNode* const members[] = {&cast.newcomer, &cast.mentor, &cast.officer};
    for (int i = 0; i < lines; ++i) {
        cast.clock.pass_minutes(1);
        type(*members[typist.below(3)], typist.line(), folder.path(), tally);
    }
    cast.everybody_syncs();
}

}  // namespace

TEST_CASE("Any words are answered, or refused with one sentence and nothing changed") {
    constexpr int lines_a_cast = 500;
    Tally tally;
    for (int round = 0; round < 3 * test_size(); ++round) {
        Cast cast;
        live(cast);
        type_many(cast, static_cast<std::uint32_t>(round), lines_a_cast, tally);
    }
    MESSAGE(tally.done << " done, " << tally.refused << " refused, " << tally.misread << " not read");
    CHECK(tally.done > 100);
    CHECK(tally.refused > 100);
    CHECK(tally.misread > 100);
}

TEST_CASE("Any words are answered where members' own programs said whatever decodes") {
    constexpr int lines_a_cast = 400;
    Tally tally;
    for (int round = 0; round < test_size(); ++round) {
        Cast cast;
        let_everybody_say(cast, 1000 + static_cast<std::uint64_t>(round));
        type_many(cast, 1000 + static_cast<std::uint32_t>(round), lines_a_cast, tally);
    }
    CHECK(tally.done > 20);
}

TEST_CASE("A word that is no text in UTF-8 is refused before anything is looked at") {
    CHECK(node::cli::parse_command_line({"export", "\xff\xfe"}).error().fault() == Fault::bad_input);
}
