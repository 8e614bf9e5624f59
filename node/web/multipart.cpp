#include "node/web/multipart.hpp"

#include <algorithm>

#include "protocol/base/bytes.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t boundary_bytes_max = 70;  // RFC 2046, 5.1.1
constexpr std::size_t head_bytes_max = 4096;    // the lines before a part's content

Error damaged() {
    return {Fault::bad_input,
            "What the browser sent is damaged; nothing was changed. Go back and send the form again."};
}

char small(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}

bool begins_with_word(std::string_view text, std::string_view word) {
    return text.size() >= word.size() &&
           std::equal(word.begin(), word.end(), text.begin(), [](char a, char b) { return a == small(b); });
}

std::string_view without_blanks(std::string_view text) {
    const std::size_t start = text.find_first_not_of(" \t");
    if (start == std::string_view::npos) return {};
    return text.substr(start, text.find_last_not_of(" \t") - start + 1);
}

// Parameters behind the first ";" of a header's value, one by one: name=token or name="text". A text ends at the next
// quote, because browsers write %22 for a quote in it (WHATWG HTML, "multipart form data").
std::optional<std::string_view> parameter(std::string_view value, std::string_view name) {
    for (std::size_t at = value.find(';'); at != std::string_view::npos && at < value.size();) {
        value = without_blanks(value.substr(at + 1));
        const std::size_t equals = value.find('=');
        if (equals == std::string_view::npos) return std::nullopt;
        const std::string_view key = value.substr(0, equals);
        std::string_view rest = value.substr(equals + 1);
        std::string_view content;
        if (rest.starts_with('"')) {
            const std::size_t end = rest.find('"', 1);
            if (end == std::string_view::npos) return std::nullopt;
            content = rest.substr(1, end - 1);
            value = rest.substr(end + 1);
        } else {
            content = without_blanks(rest.substr(0, rest.find(';')));
            value = rest;
        }
        if (key.size() == name.size() && begins_with_word(key, name)) return content;
        at = value.find(';');
    }
    return std::nullopt;
}

std::string unescaped(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const std::string_view three = text.substr(i, 3);
        const char c = three == "%22" ? '"' : three == "%0D" ? '\r' : three == "%0A" ? '\n' : '\0';
        out.push_back(c == '\0' ? text[i] : c);
        if (c != '\0') i += 2;
    }
    return out;
}

bool is_text(std::string_view text) {
    return is_utf8(text) && text.find('\0') == std::string_view::npos;
}

struct PartHead {
    std::string name;
    std::optional<std::string> file_name;
};

Result<PartHead> read_head(std::string_view lines) {
    constexpr std::string_view disposition = "content-disposition:";
    while (!lines.empty()) {
        const std::size_t end = std::min(lines.find("\r\n"), lines.size());
        const std::string_view line = lines.substr(0, end);
        lines.remove_prefix(std::min(end + 2, lines.size()));
        if (!begins_with_word(line, disposition)) continue;
        const std::string_view value = line.substr(disposition.size());
        const auto name = parameter(value, "name");
        if (!name || !begins_with_word(without_blanks(value), "form-data")) return damaged();
        PartHead out{unescaped(*name), std::nullopt};
        if (const auto file = parameter(value, "filename")) out.file_name = unescaped(*file);
        if (!is_text(out.name) || (out.file_name && !is_text(*out.file_name))) return damaged();
        return out;
    }
    return damaged();
}

Result<void> take_part(Multipart& out, PartHead head, std::string_view content, const FormLimits& limits) {
    if (head.name.size() > limits.name_bytes_max) return damaged();
    if (head.file_name) {
        if (head.file_name->empty() && content.empty()) return ok();
        if (out.files.size() >= limits.files_max || content.size() > limits.file_bytes_max) {
            return Error{Fault::bad_input, "The file is larger than " + std::to_string(limits.file_bytes_max >> 20) +
                                               " MB, or there are more than " + std::to_string(limits.files_max) +
                                               "; nothing was changed."};
        }
        out.files.push_back({std::move(head.name), std::move(*head.file_name), std::string(content)});
        return ok();
    }
    if (content.size() > limits.value_bytes_max || out.fields.entries().size() >= limits.fields_max) {
        return Error{Fault::bad_input,
                     "A text in the form is longer than fits; nothing was changed. Shorten it and send it again."};
    }
    if (!is_text(content)) {
        return Error{Fault::bad_input,
                     "A text in the form holds bytes that are no letters; nothing was changed. Type it again."};
    }
    out.fields.add(std::move(head.name), std::string(content));
    return ok();
}

}  // namespace

bool brings_files(std::string_view content_type) {
    return begins_with_word(without_blanks(content_type.substr(0, content_type.find(';'))), "multipart/form-data");
}

Result<Multipart> parse_multipart(std::string_view content_type, std::string_view body, const FormLimits& limits) {
    const auto boundary = parameter(content_type, "boundary");
    if (!boundary || boundary->empty() || boundary->size() > boundary_bytes_max) return damaged();
    const std::string first = "--" + std::string(*boundary);
    const std::string between = "\r\n" + first;
    if (!body.starts_with(first)) return damaged();
    body.remove_prefix(first.size());
    Multipart out;
    while (!body.starts_with("--")) {
        if (!body.starts_with("\r\n")) return damaged();
        body.remove_prefix(2);
        const std::size_t head_end = body.substr(0, head_bytes_max).find("\r\n\r\n");
        if (head_end == std::string_view::npos) return damaged();
        TRY(PartHead head, read_head(body.substr(0, head_end)));
        body.remove_prefix(head_end + 4);
        const std::size_t end = body.find(between);
        if (end == std::string_view::npos) return damaged();
        TRY(take_part(out, std::move(head), body.substr(0, end), limits));
        body.remove_prefix(end + between.size());
    }
    return out;
}

}  // namespace ladderline::node::web
