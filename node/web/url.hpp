#pragma once
// Addresses of our own pages, made only from literal paths and percent-encoded parts, so that a person's text cannot
// turn a link or a redirect into one that leaves the program.

#include <string>
#include <string_view>
#include <type_traits>

namespace ladderline::node::web {

// RFC 3986: everything but the unreserved characters becomes %XX, so the part cannot hold a slash, "?" or "#".
std::string percent_encode(std::string_view part);

namespace detail {

// Never defined: a mistake in a literal makes the compiler reach one of these, and its name is the message.
void address_must_begin_with_a_literal_path();  // an empty first argument could make "//host"
void address_has_a_character_that_must_be_encoded();
void address_has_another_number_of_arguments();
void outside_address_must_begin_with_https();

constexpr bool is_address_character(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
           std::string_view("/?&=#-._~:").find(c) != std::string_view::npos;
}

template <class... Args>
struct AddressFormat {
    std::string_view literal;

    consteval AddressFormat(const char* text) : literal(text) {
        if (literal.empty() || literal[0] != '/' || (literal.size() > 1 && (literal[1] == '/' || literal[1] == '{'))) {
            address_must_begin_with_a_literal_path();
        }
        std::size_t places = 0;
        for (std::size_t i = 0; i < literal.size(); ++i) {
            if (literal.substr(i, 2) == "{}") {
                ++places;
                ++i;
            } else if (!is_address_character(literal[i])) {
                address_has_a_character_that_must_be_encoded();
            }
        }
        if (places != sizeof...(Args)) address_has_another_number_of_arguments();
    }
};

struct OutsideAddress {
    std::string_view literal;
    consteval OutsideAddress(const char* text) : literal(text) {
        if (!literal.starts_with("https://")) outside_address_must_begin_with_https();
    }
};

}  // namespace detail

class Url {
public:
    const std::string& text() const { return text_; }

private:
    template <class... Args>
    friend Url url(detail::AddressFormat<std::type_identity_t<Args>...>, const Args&...);
    friend Url outside_url(detail::OutsideAddress);
    friend Url same_page(const std::string& path);
    explicit Url(std::string text) : text_(std::move(text)) {}

    std::string text_;
};

namespace detail {

template <class Arg>
std::string address_part(const Arg& arg) {
    if constexpr (std::is_integral_v<Arg>) {
        static_assert(!std::is_same_v<Arg, bool> && !std::is_same_v<Arg, char>, "give a text or a whole number");
        return std::to_string(arg);
    } else {
        return percent_encode(arg);
    }
}

}  // namespace detail

// url("/person/{}?from={}", id, day): each {} is a text or a whole number, percent-encoded.
template <class... Args>
Url url(detail::AddressFormat<std::type_identity_t<Args>...> format, const Args&... args) {
    std::string out;
    std::string_view rest = format.literal;
    [[maybe_unused]] const auto put = [&](const std::string& part) {
        const std::size_t at = rest.find("{}");
        out.append(rest.substr(0, at)).append(part);
        rest.remove_prefix(at + 2);
    };
    (put(detail::address_part(args)), ...);
    out.append(rest);
    return Url(std::move(out));
}

// A link that a person may follow to somebody else's site; literal only. Nothing is ever fetched from it by a page.
inline Url outside_url(detail::OutsideAddress address) {
    return Url(std::string(address.literal));
}

// The address of the page now shown, from a decoded Request::path.
Url same_page(const std::string& path);

}  // namespace ladderline::node::web
