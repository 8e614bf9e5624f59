#pragma once
// Literal markup, read while compiling: which kind of place each {} stands in, and whether the markup is well formed.
// Every start tag must have its end tag in the same literal, so any two pieces of Html nest. Refused: values without
// double quotes, code or style in attributes, <script> and <style> with content, <form> (see forms.hpp).

#include <array>
#include <cstdint>
#include <initializer_list>
#include <string_view>
#include <type_traits>

namespace ladderline::node::web {

// Where a {} stands, and so what may stand there.
enum class Spot : std::uint8_t {
    text,          // between tags: texts, numbers, Html
    words_only,    // inside <textarea> or <title>: texts, numbers
    attribute,     // title="{}": texts, numbers
    address,       // href="{}": a Url
    address_part,  // href="/person/{}": texts, numbers; percent-encoded
    tag,           // <option {}>: a Flag
};

enum class Given : std::uint8_t { words, number, html, address, flag };

namespace detail {

// Never defined: a mistake in a literal makes the compiler reach one of these, and its name is the message.
void markup_has_another_number_of_arguments();
void markup_does_not_take_this_kind_of_argument_here();
void markup_brace_is_not_a_place_for_an_argument();
void markup_end_tag_does_not_match();
void markup_start_tag_has_no_end_tag();
void markup_is_nested_too_deeply();
void markup_tag_is_malformed();
void markup_attribute_value_needs_double_quotes();
void markup_attribute_with_code_or_style_is_refused();
void markup_address_must_begin_with_a_literal_path();
void markup_script_and_style_must_be_files();
void markup_form_must_be_made_by_post_form_or_get_form();

// Names of tags and attributes mean the same in capitals.
constexpr bool same_name(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) return false;
    for (std::size_t i = 0; i < a.size(); ++i) {
        const char low = a[i] >= 'A' && a[i] <= 'Z' ? static_cast<char>(a[i] + ('a' - 'A')) : a[i];
        if (low != b[i]) return false;
    }
    return true;
}

constexpr bool one_of(std::string_view word, std::initializer_list<std::string_view> small_letter_words) {
    for (const std::string_view w : small_letter_words) {
        if (same_name(word, w)) return true;
    }
    return false;
}

constexpr bool is_name_character(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == ':';
}

constexpr bool is_void_element(std::string_view name) {
    return one_of(name, {"area", "br", "col", "hr", "img", "input", "link", "meta", "source", "wbr"});
}

constexpr bool is_address_attribute(std::string_view name) {
    return one_of(name, {"href", "src", "action", "formaction", "poster", "cite", "data", "ping", "xlink:href"});
}

// Code, style or content in a form that escaping does not make harmless.
constexpr bool is_refused_attribute(std::string_view name) {
    return one_of(name, {"style", "srcset", "imagesrcset", "srcdoc", "http-equiv"}) ||
           (name.size() > 2 && (name[0] == 'o' || name[0] == 'O') && (name[1] == 'n' || name[1] == 'N'));
}

// N: how many {} are expected.
template <std::size_t N>
class MarkupReader {
public:
    constexpr MarkupReader(std::string_view markup, bool forms_allowed)
        : markup_(markup), forms_allowed_(forms_allowed) {}

    constexpr std::array<Spot, N> read() {
        while (at_ < markup_.size()) {
            if (markup_.substr(at_, 2) == "{}") {
                text_spot();
            } else if (here() == '{' || here() == '}') {
                markup_brace_is_not_a_place_for_an_argument();
            } else if (markup_.substr(at_, 2) == "</") {
                end_tag();
            } else if (markup_.substr(at_).starts_with("<!doctype html>")) {
                at_ = markup_.find('>', at_) + 1;
            } else if (here() == '<') {
                start_tag();
            } else {
                if (depth_ > 0 && same_name(open_[depth_ - 1], "script")) markup_script_and_style_must_be_files();
                ++at_;
            }
        }
        if (depth_ != 0) markup_start_tag_has_no_end_tag();
        if (found_ != N) markup_has_another_number_of_arguments();
        return spots_;
    }

private:
    constexpr char here() const { return at_ < markup_.size() ? markup_[at_] : '\0'; }

    constexpr void put(Spot spot) {
        if (found_ >= N) {
            markup_has_another_number_of_arguments();
        } else {
            spots_[found_] = spot;
        }
        ++found_;
        at_ += 2;
    }

    constexpr void text_spot() {
        const std::string_view inside = depth_ > 0 ? open_[depth_ - 1] : std::string_view();
        if (same_name(inside, "script")) markup_script_and_style_must_be_files();
        put(one_of(inside, {"textarea", "title"}) ? Spot::words_only : Spot::text);
    }

    constexpr std::string_view name() {
        const std::size_t start = at_;
        while (is_name_character(here())) ++at_;
        if (at_ == start) markup_tag_is_malformed();
        return markup_.substr(start, at_ - start);
    }

    constexpr void blanks() {
        while (here() == ' ' || here() == '\n') ++at_;
    }

    constexpr void end_tag() {
        at_ += 2;
        const std::string_view word = name();
        if (here() != '>') markup_tag_is_malformed();
        ++at_;
        if (depth_ == 0 || open_[depth_ - 1] != word) {
            markup_end_tag_does_not_match();
        } else {
            --depth_;
        }
    }

    constexpr void start_tag() {
        ++at_;
        const std::string_view word = name();
        if (one_of(word, {"style", "iframe", "object", "embed", "base"})) markup_script_and_style_must_be_files();
        if (same_name(word, "form") && !forms_allowed_) markup_form_must_be_made_by_post_form_or_get_form();
        for (blanks(); here() != '>' && here() != '/'; blanks()) {
            if (at_ >= markup_.size()) {
                markup_tag_is_malformed();
                return;
            }
            attribute();
        }
        const bool closes_itself = here() == '/';
        if (closes_itself) ++at_;
        if (here() != '>') markup_tag_is_malformed();
        ++at_;
        if (closes_itself || is_void_element(word)) return;
        if (depth_ >= open_.size()) {
            markup_is_nested_too_deeply();
            return;
        }
        open_[depth_++] = word;
    }

    constexpr void attribute() {
        if (markup_.substr(at_, 2) == "{}") {
            put(Spot::tag);
            return;
        }
        const std::string_view word = name();
        if (is_refused_attribute(word)) markup_attribute_with_code_or_style_is_refused();
        if (here() != '=') return;
        ++at_;
        if (here() != '"') markup_attribute_value_needs_double_quotes();
        const std::size_t start = ++at_;
        while (here() != '"') {
            if (at_ >= markup_.size()) {
                markup_tag_is_malformed();
                return;
            }
            if (markup_.substr(at_, 2) == "{}") {
                put(attribute_spot(word, start));
            } else if (here() == '{' || here() == '}') {
                markup_brace_is_not_a_place_for_an_argument();
            } else {
                ++at_;
            }
        }
        ++at_;
    }

    constexpr Spot attribute_spot(std::string_view word, std::size_t start) {
        if (!is_address_attribute(word)) return Spot::attribute;
        if (at_ == start) return Spot::address;
        const std::string_view before = markup_.substr(start, at_ - start);
        // A bare "/" will not do: an empty argument and a second slash would make the start of another host.
        const bool local = before[0] == '#' || before[0] == '?' ||
                           (before.size() > 1 && before[0] == '/' && is_name_character(before[1]));
        if (!local) markup_address_must_begin_with_a_literal_path();
        return Spot::address_part;
    }

    std::string_view markup_;
    bool forms_allowed_;
    std::size_t at_ = 0;
    std::size_t found_ = 0;
    std::array<Spot, N> spots_{};
    std::array<std::string_view, 32> open_{};
    std::size_t depth_ = 0;
};

constexpr bool fits(Spot spot, Given given) {
    switch (spot) {
        case Spot::text:
            return given != Given::flag;
        case Spot::words_only:
            return given == Given::words || given == Given::number;
        case Spot::attribute:
            return given == Given::words || given == Given::number || given == Given::address;
        case Spot::address:
            return given == Given::address;
        case Spot::address_part:
            return given == Given::words || given == Given::number;
        case Spot::tag:
            return given == Given::flag;
    }
    return false;
}

}  // namespace detail
}  // namespace ladderline::node::web
