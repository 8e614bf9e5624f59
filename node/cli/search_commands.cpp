#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/search.hpp"

namespace ladderline::node::cli {
namespace {

Result<Answer> show_found(Context& context, const std::string& words) {
    TRY(const Found found, search(context, words));
    std::vector<std::string> text;
    boost::json::array persons;
    for (const FoundPerson& p : found.people) {
        std::string places;
        boost::json::array where;
        for (const std::string& place : p.places) {
            places += (places.empty() ? "" : ", ") + place;
            where.emplace_back(place);
        }
        text.push_back(p.name + (p.call_sign.empty() ? "" : "  " + p.call_sign) + "  (" + places + ")");
        persons.push_back(
            {{"name", p.name}, {"call_sign", p.call_sign}, {"id", to_hex(p.id.view())}, {"places", std::move(where)}});
    }
    boost::json::array items;
    for (const FoundItem& item : found.items) {
        const std::string id = domain::to_text(item.id);
        text.push_back(id + "  " + item.text);
        items.push_back({{"item", id}, {"text", item.text}});
    }
    boost::json::array contacts;
    for (const FoundContact& c : found.contacts) {
        text.push_back(c.words + (c.own ? "" : "  (" + c.whose_name + "'s log)"));
        contacts.push_back({{"id", to_hex(c.id.view())}, {"words", c.words}, {"whose", c.whose_name}});
    }
    if (found.empty()) text.push_back("Nothing with \"" + words + "\" is in this store.");
    if (found.more) text.emplace_back("There is more; add a word.");
    return Answer{lines(text),
                  {{"people", std::move(persons)},
                   {"items", std::move(items)},
                   {"contacts", std::move(contacts)},
                   {"more", found.more}}};
}

}  // namespace

void add_search_commands(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("find", "Find people, items of the ladder and contacts by words");
    auto words = std::make_shared<std::vector<std::string>>();
    sub->add_option("words", *words, "Parts of names, call signs, items, remarks; every one must stand in it")
        ->required();
    sub->callback([&out, words] {
        std::string text;
        for (const std::string& word : *words) text += (text.empty() ? "" : " ") + word;
        out.command = [text](Context& context) { return show_found(context, text); };
    });
}

}  // namespace ladderline::node::cli
