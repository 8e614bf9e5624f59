#pragma once
// Reads the forms of a page as a browser without scripts does, so that tests fill in and send what is really there.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace ladderline::test {

struct PageForm {
    std::string action;
    bool is_post = false;
    std::vector<std::pair<std::string, std::string>> values;   // what would be sent as the page stands
    std::vector<std::string> typed;                            // names of fields that a person types into
    std::vector<std::pair<std::string, std::string>> buttons;  // named ones; one of them goes along
    std::string words;                                         // all text in it

    void set(std::string_view name, std::string value) {
        for (auto& [key, present] : values) {
            if (key == name) {
                present = std::move(value);
                return;
            }
        }
        values.emplace_back(name, std::move(value));
    }
    std::string get(std::string_view name) const {
        for (const auto& [key, present] : values) {
            if (key == name) return present;
        }
        return {};
    }
    // The name that ends like this: forms that stand side by side put their own name before a field's.
    std::string named(std::string_view end) const {
        for (const auto& [key, present] : values) {
            if (key.ends_with(end)) return key;
        }
        return {};
    }
};

namespace page_forms {

inline std::string unescaped(std::string_view text) {
    static constexpr std::pair<std::string_view, char> entities[] = {
        {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}, {"&#39;", '\''}, {"&amp;", '&'}};
    std::string out;
    while (!text.empty()) {
        std::size_t taken = 0;
        for (const auto& [entity, character] : entities) {
            if (!text.starts_with(entity)) continue;
            out += character;
            taken = entity.size();
        }
        if (taken == 0) out += text[taken++];
        text.remove_prefix(taken);
    }
    return out;
}

// The value of ` name="..."` in a tag; "" as well if it is not there.
inline std::string attribute(std::string_view tag, std::string_view name) {
    const std::string before = " " + std::string(name) + "=\"";
    const std::size_t at = tag.find(before);
    if (at == std::string_view::npos) return {};
    const std::size_t from = at + before.size();
    return unescaped(tag.substr(from, tag.find('"', from) - from));
}

inline bool has_word(std::string_view tag, std::string_view word) {
    return tag.find(" " + std::string(word)) != std::string_view::npos;
}

inline void take_input(PageForm& form, std::string_view tag) {
    const std::string name = attribute(tag, "name");
    const std::string type = attribute(tag, "type");
    if (type == "checkbox" || type == "radio") {
        if (has_word(tag, "checked")) form.values.emplace_back(name, attribute(tag, "value"));
        return;
    }
    form.values.emplace_back(name, attribute(tag, "value"));
    if (type == "text" || type == "search") form.typed.push_back(name);
}

// A <select> sends the marked option, else its first.
inline void take_options(PageForm& form, const std::string& select, std::string_view inside) {
    bool first = true;
    for (std::size_t at = inside.find("<option"); at != std::string_view::npos; at = inside.find("<option", at + 1)) {
        const std::string_view tag = inside.substr(at, inside.find('>', at) - at);
        if (first || has_word(tag, "selected")) form.set(select, attribute(tag, "value"));
        first = false;
    }
}

inline PageForm read(std::string_view head, std::string_view inside) {
    PageForm form;
    form.action = attribute(head, "action");
    form.is_post = attribute(head, "method") == "post";
    for (std::size_t at = 0; at < inside.size();) {
        if (inside[at] != '<') {
            const std::size_t next = std::min(inside.find('<', at), inside.size());
            form.words += unescaped(inside.substr(at, next - at)) + " ";
            at = next;
            continue;
        }
        const std::size_t end = inside.find('>', at);
        const std::string_view tag = inside.substr(at, end - at);
        at = end + 1;
        if (tag.starts_with("<input")) take_input(form, tag);
        if (tag.starts_with("<button") && !attribute(tag, "name").empty()) {
            form.buttons.emplace_back(attribute(tag, "name"), attribute(tag, "value"));
        }
        if (tag.starts_with("<textarea")) {
            const std::size_t close = inside.find("</textarea>", at);
            form.values.emplace_back(attribute(tag, "name"), unescaped(inside.substr(at + 1, close - at - 1)));
            form.typed.push_back(attribute(tag, "name"));
            at = close;
        }
        if (tag.starts_with("<select")) {
            const std::size_t close = inside.find("</select>", at);
            take_options(form, attribute(tag, "name"), inside.substr(at, close - at));
        }
    }
    return form;
}

}  // namespace page_forms

// All forms of a page, in order.
// Those of the page itself, in <main>: the field to find something and the lock are on every page.
inline std::vector<PageForm> forms_of(std::string_view page) {
    std::vector<PageForm> out;
    if (const std::size_t main = page.find("<main"); main != std::string_view::npos) {
        page = page.substr(main, page.find("</main>", main) - main);
    }
    for (std::size_t at = page.find("<form"); at != std::string_view::npos; at = page.find("<form", at + 1)) {
        const std::size_t head_end = page.find('>', at);
        const std::size_t end = page.find("</form>", head_end);
        out.push_back(page_forms::read(page.substr(at, head_end - at), page.substr(head_end + 1, end - head_end - 1)));
    }
    return out;
}

}  // namespace ladderline::test
