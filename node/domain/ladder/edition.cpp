#include "node/domain/ladder/edition.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

namespace ladderline::domain {
namespace {

constexpr std::size_t shown_max = 3;  // items listed when a person's input fits several

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string folded(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(), lower);
    return out;
}

std::string_view trimmed(std::string_view text) {
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// One or two digits at the front of `text`, which are taken away; -1 if there are none or more.
int take_number(std::string_view& text) {
    std::size_t count = 0;
    int value = 0;
    while (count < text.size() && is_digit(text[count])) {
        if (count == 2) return -1;
        value = value * 10 + (text[count++] - '0');
    }
    text.remove_prefix(count);
    return count == 0 ? -1 : value;
}

// "9.6", "09-06", "9 6", "9/6".
std::optional<ItemId> loose_id(std::string_view text) {
    const int stage = take_number(text);
    if (stage < 0 || text.empty() || std::string_view(".-/ ").find(text.front()) == std::string_view::npos) return {};
    text.remove_prefix(1);
    const int number = take_number(text);
    if (number < 1 || !text.empty()) return {};
    return ItemId{static_cast<std::uint8_t>(stage), static_cast<std::uint8_t>(number)};
}

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words;
    while (!(text = trimmed(text)).empty()) {
        const std::size_t end = text.find(' ');
        words.emplace_back(text.substr(0, end));
        text = end == std::string_view::npos ? std::string_view{} : text.substr(end);
    }
    return words;
}

std::vector<const Item*> items_with_words(const Edition& edition, const std::string& wanted) {
    std::vector<const Item*> whole;
    std::vector<const Item*> by_words;
    const std::vector<std::string> words = words_of(wanted);
    for (const Item& item : edition.items) {
        const std::string text = folded(item.text);
        if (text == wanted) return {&item};
        if (text.find(wanted) != std::string::npos) whole.push_back(&item);
        const bool every = std::all_of(words.begin(), words.end(),
                                       [&](const std::string& word) { return text.find(word) != std::string::npos; });
        if (every) by_words.push_back(&item);
    }
    return whole.empty() ? by_words : whole;
}

std::string which_one(std::string_view input, const std::vector<const Item*>& found) {
    std::string out = "'" + std::string(input) + "' fits " + std::to_string(found.size()) + " items";
    out += found.size() > shown_max ? ", the first of them " : ": ";
    for (std::size_t i = 0; i < std::min(found.size(), shown_max); ++i) {
        if (i > 0) out += "; ";
        out += to_text(found[i]->id) + " " + found[i]->text;
    }
    return out + ". Write the number of the one that you mean.";
}

}  // namespace

std::string to_text(ItemId id) {
    std::array<char, 8> out{};
    std::snprintf(out.data(), out.size(), "%02u.%02u", unsigned{id.stage}, unsigned{id.number});
    return out.data();
}

Result<ItemId> parse_item_id(std::string_view text) {
    const bool shaped = text.size() == 5 && is_digit(text[0]) && is_digit(text[1]) && text[2] == '.' &&
                        is_digit(text[3]) && is_digit(text[4]) && text.substr(3) != "00";
    if (!shaped) {
        return Error{Fault::bad_input,
                     "'" + std::string(text) + "' is not the number of an item; it is written as 09.06."};
    }
    return *loose_id(text);
}

const Item* Edition::find(ItemId id) const {
    const auto at = std::lower_bound(items.begin(), items.end(), id,
                                     [](const Item& item, ItemId wanted) { return item.id < wanted; });
    return at != items.end() && at->id == id ? &*at : nullptr;
}

const Stage* Edition::stage(std::uint8_t number) const {
    const auto at = std::find_if(stages.begin(), stages.end(), [&](const Stage& s) { return s.number == number; });
    return at != stages.end() ? &*at : nullptr;
}

bool Edition::walked_as_mentor(ItemId id) const {
    const Stage* own = stage(id.stage);
    return own != nullptr && own->walker == Walker::mentor;
}

Result<const Item*> find_by_input(const Edition& edition, std::string_view input) {
    const std::string_view wanted = trimmed(input);
    if (wanted.empty()) {
        return Error{Fault::bad_input, "No item was named; write its number, as 09.06, or a few of its words."};
    }
    if (const auto id = loose_id(wanted)) {
        if (const Item* item = edition.find(*id)) return item;
        return Error{Fault::not_found, "There is no item " + to_text(*id) + " in " + edition.name + ", edition " +
                                           edition.edition + "; the way shows the numbers of all."};
    }
    const std::vector<const Item*> found = items_with_words(edition, folded(wanted));
    if (found.size() == 1) return found.front();
    if (found.empty()) {
        return Error{Fault::not_found, "No item has the words '" + std::string(wanted) +
                                           "'; write its number, as 09.06, or fewer of its words."};
    }
    return Error{Fault::bad_input, which_one(wanted, found)};
}

}  // namespace ladderline::domain
