#include "node/cli/command_tree.hpp"

namespace ladderline::node::cli {
namespace {

// One arm of the case: what may follow the words of this command.
std::string arms(const CommandText& command) {
    std::string commands;
    std::string options;
    std::string takes;
    const auto add = [](std::string& to, const std::string& word) { to += (to.empty() ? "" : " ") + word; };
    for (const CommandText& sub : command.commands) add(commands, sub.name.substr(sub.name.rfind(' ') + 1));
    for (const OptionText& option : command.options) {
        if (option.by_place) continue;
        add(options, option.name);
        if (!option.value.empty()) add(takes, option.name);
    }
    std::string out = "        '" + command.name + "') commands='" + commands + "' options='" + options + "' takes='" +
                      takes + "' ;;\n";
    for (const CommandText& sub : command.commands) out += arms(sub);
    return out;
}

constexpr std::string_view rest = R"(
_ladderline() {
    local current=${COMP_WORDS[COMP_CWORD]} command='' commands options takes every every_takes word i
    _ladderline_after ''
    every=$options
    every_takes=$takes
    for ((i = 1; i < COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        case " $takes $every_takes " in
            *" $word "*) i=$((i + 1)); continue ;;
        esac
        case " $commands " in
            *" $word "*)
                command=${command:+$command }$word
                _ladderline_after "$command" ;;
        esac
    done
    COMPREPLY=()
    [ "$i" -eq "$COMP_CWORD" ] || return 0
    case $current in
        -*) mapfile -t COMPREPLY < <(compgen -W "$options $every --help" -- "$current") ;;
        *) mapfile -t COMPREPLY < <(compgen -W "$commands" -- "$current") ;;
    esac
}
complete -o default -F _ladderline ladderline
)";

}  // namespace

std::string bash_completion(const CommandText& program) {
    std::string out =
        "# Completion of ladderline for bash; 'ladderline completion' prints it. What is no command and no option is "
        "completed\n# as a file.\n_ladderline_after() {\n    commands='' options='' takes=''\n    case $1 in\n";
    out += arms(program);
    out += "    esac\n}\n";
    out += rest;
    out.pop_back();
    return out;
}

}  // namespace ladderline::node::cli
