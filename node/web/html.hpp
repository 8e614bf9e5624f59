#pragma once
// Html grows only by literal markup and by escaped arguments, so a person's text is never markup:
//
//     Html row = html("<tr><td>{}</td><td><a href=\"{}\">{}</a></td></tr>", name, url("/person/{}", id), call);
//     Html list = html("<ul>{}</ul>", each(items, [](const Item& i) { return html("<li>{}</li>", i.words); }));
//
// The literal is read while compiling (markup.hpp): tags balance, attribute values are quoted, and each {} takes only
// what is safe in its place. Control characters and broken UTF-8 in a text become U+FFFD.

#include <concepts>
#include <cstdint>
#include <string>
#include <string_view>

#include "node/web/markup.hpp"
#include "node/web/url.hpp"

namespace ladderline::node::web {

class Html;

// An attribute without a value, there or not: html("<option {}>x</option>", flag("selected", chosen)).
class Flag {
public:
    consteval Flag(const char* name) : name_(name) {}
    std::string_view name() const { return name_; }
    bool on = false;

private:
    std::string_view name_;
};

inline Flag flag(Flag name, bool on) {
    name.on = on;
    return name;
}

// A number with a fixed count of decimals (0 to 9) and a point, whatever the locale; not finite: an en dash.
struct Decimal {
    double value = 0;
    int decimals = 0;
};

namespace detail {

template <class Arg>
consteval Given given_of() {
    if constexpr (std::is_same_v<Arg, Html>) {
        return Given::html;
    } else if constexpr (std::is_same_v<Arg, Url>) {
        return Given::address;
    } else if constexpr (std::is_same_v<Arg, Flag>) {
        return Given::flag;
    } else if constexpr (std::is_same_v<Arg, Decimal>) {
        return Given::number;
    } else if constexpr (std::is_integral_v<Arg>) {
        static_assert(!std::is_same_v<Arg, bool> && !std::is_same_v<Arg, char>, "say it in words, or as a number");
        return Given::number;
    } else {
        static_assert(std::is_convertible_v<const Arg&, std::string_view>,
                      "html() takes texts, whole numbers, Decimal, Url, Flag and Html");
        return Given::words;
    }
}

template <bool forms_allowed, class... Args>
struct MarkupFormat {
    std::string_view literal;
    std::array<Spot, sizeof...(Args)> spots;

    consteval MarkupFormat(const char* text)
        : literal(text), spots(MarkupReader<sizeof...(Args)>(text, forms_allowed).read()) {
        [[maybe_unused]] std::size_t i = 0;
        (check(spots[i++], given_of<Args>()), ...);
    }

    static consteval void check(Spot spot, Given given) {
        if (!fits(spot, given)) markup_does_not_take_this_kind_of_argument_here();
    }
};

template <class... Args>
using PageFormat = MarkupFormat<false, std::type_identity_t<Args>...>;
template <class... Args>
using FormFormat = MarkupFormat<true, std::type_identity_t<Args>...>;

struct HtmlWriter;

}  // namespace detail

class Html {
public:
    Html() = default;
    const std::string& markup() const { return markup_; }
    bool empty() const { return markup_.empty(); }

    Html& operator+=(const Html& more) {
        markup_ += more.markup_;
        return *this;
    }
    template <class... Args>
    Html& add(detail::PageFormat<Args...> format, const Args&... args);

private:
    friend struct detail::HtmlWriter;
    std::string markup_;
};

namespace detail {

// The only place that appends to Html's text.
struct HtmlWriter {
    std::string& out;
    std::string_view rest;
    const Spot* spot;

    explicit HtmlWriter(Html& html, std::string_view literal, const Spot* spots)
        : out(html.markup_), rest(literal), spot(spots) {}

    void words(std::string_view text);
    void decimal(const Decimal& number);
    void flag(const Flag& flag);
    void literal_up_to_place();

    template <class Arg>
    void put(const Arg& arg) {
        literal_up_to_place();
        constexpr Given given = given_of<Arg>();
        if constexpr (given == Given::html) {
            out += arg.markup_;
        } else if constexpr (given == Given::address) {
            words(arg.text());
        } else if constexpr (given == Given::flag) {
            flag(arg);
        } else if constexpr (std::is_same_v<Arg, Decimal>) {
            decimal(arg);
        } else if constexpr (given == Given::number) {
            out += std::to_string(arg);
        } else {
            words(arg);
        }
        ++spot;
    }

    template <class... Args>
    void all(const Args&... args) {
        (put(args), ...);
        out += rest;
    }
};

// For forms.cpp, which alone may write <form>.
template <class... Args>
Html form_html(FormFormat<Args...> format, const Args&... args) {
    Html out;
    HtmlWriter(out, format.literal, format.spots.data()).all(args...);
    return out;
}

}  // namespace detail

template <class... Args>
Html& Html::add(detail::PageFormat<Args...> format, const Args&... args) {
    detail::HtmlWriter(*this, format.literal, format.spots.data()).all(args...);
    return *this;
}

template <class... Args>
Html html(detail::PageFormat<Args...> format, const Args&... args) {
    Html out;
    out.add(format, args...);
    return out;
}

// A text as it is, escaped.
inline Html text(std::string_view words) {
    return html("{}", words);
}

// One piece for each element, in order.
template <class Range, class Piece>
Html each(const Range& range, Piece piece) {
    Html out;
    for (const auto& element : range) out += piece(element);
    return out;
}

// A call sign: one face, slashed zero, never broken over a line, not translated.
inline Html call_sign(std::string_view call) {
    return html("<span class=\"call\" translate=\"no\">{}</span>", call);
}

// A name that a person chose; its writing direction does not spill into the words around it.
inline Html person_name(std::string_view name) {
    return html("<bdi>{}</bdi>", name);
}

}  // namespace ladderline::node::web
