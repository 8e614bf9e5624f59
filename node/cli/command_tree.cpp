#include "node/cli/command_tree.hpp"

#include <CLI/CLI.hpp>

namespace ladderline::node::cli {
namespace {

bool is_hidden(const CLI::Option& option) {
    return option.get_group().empty();
}

OptionText text_of(const CLI::Option& option) {
    OptionText out;
    out.by_place = option.get_positional();
    if (out.by_place) {
        out.name = option.get_name(true);
    } else {
        out.name = option.get_lnames().empty() ? "-" + option.get_snames().front() : "--" + option.get_lnames().front();
    }
    if (option.get_items_expected_max() > 0) out.value = option.get_type_name();
    out.says = option.get_description();
    out.required = option.get_required();
    return out;
}

CommandText text_of(const CLI::App& app, const std::string& name) {
    CommandText out{name, app.get_description(), app.get_footer(), {}, {}};
    for (const CLI::Option* option : app.get_options()) {
        if (option != app.get_help_ptr() && !is_hidden(*option)) out.options.push_back(text_of(*option));
    }
    for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
        if (sub->get_group().empty()) continue;
        out.commands.push_back(text_of(*sub, (name.empty() ? "" : name + " ") + sub->get_name()));
    }
    return out;
}

}  // namespace

CommandText command_tree(const CLI::App& app) {
    return text_of(app, "");
}

}  // namespace ladderline::node::cli
