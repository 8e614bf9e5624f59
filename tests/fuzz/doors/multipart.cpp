// A form that brings files, as a browser sends it: the boundary is known, everything behind it is not.

#include "node/web/multipart.hpp"

#include "tests/fuzz/engine/door.hpp"

namespace ladderline::fuzz {
namespace {

using namespace node::web;

const std::string type = "multipart/form-data; boundary=x1";

std::string written(const Multipart& form) {
    const auto escaped = [](const std::string& text) {
        std::string out;
        for (const char c : text) {
            if (c == '"') out += "%22";
            if (c == '\r') out += "%0D";
            if (c == '\n') out += "%0A";
            if (c != '"' && c != '\r' && c != '\n') out += c;
        }
        return out;
    };
    std::string out;
    const auto part = [&](const std::string& head, const std::string& content) {
        out += "--x1\r\nContent-Disposition: form-data; name=\"" + head + "\"\r\n\r\n" + content + "\r\n";
    };
    for (const auto& [name, value] : form.fields.entries()) part(escaped(name), value);
    for (const SentFile& file : form.files)
        part(escaped(file.field) + "\"; filename=\"" + escaped(file.name), file.bytes);
    return out + "--x1--";
}

void knock(ByteView input) {
    const FormLimits limits;
    const auto form = parse_multipart(type, as_text(input));
    if (!form) return demand_sentence(form.error().sentence());
    demand(form.value().files.size() <= limits.files_max, "no more files than fit");
    for (const auto& [name, value] : form.value().fields.entries()) {
        demand(is_utf8(name) && is_utf8(value), "a field is text");
        demand(value.size() <= limits.value_bytes_max, "a field keeps its bound");
    }
    // A name that holds an escape of its own ("%22" typed by a person) reads as a quote, as in every browser's form.
    const std::string again_bytes = written(form.value());
    const auto again = parse_multipart(type, again_bytes);
    demand(again.has_value(), "what was read can be written and read again");
    demand(again.value().fields.entries() == form.value().fields.entries(), "and holds the same fields");
    demand(again.value().files.size() <= form.value().files.size(), "and no file more");
}

}  // namespace

Door door() {
    Door out;
    out.knock = knock;
    const auto seed = [&](const std::string& name, const std::string& text) {
        out.seeds.push_back({name, to_bytes(as_bytes(text))});
    };
    const std::string head = "--x1\r\nContent-Disposition: form-data; name=";
    const std::string text = head + "\"csrf\"\r\n\r\n55\r\n";
    seed("text", text + "--x1--\r\n");
    seed("file",
         text + head + "\"file\"; filename=\"a.txt\"\r\nContent-Type: text/plain\r\n\r\none\r\ntwo\r\n--x1--\r\n");
    seed("empty", head + "\"f\"; filename=\"\"\r\nContent-Type: application/octet-stream\r\n\r\n\r\n--x1--");
    seed("token", head + "a; filename=b\r\n\r\n\xff\x00\r\n--x1--");
    out.words = {"--x1",
                 "\r\n--x1",
                 "--x1--",
                 "\r\n\r\n",
                 "name=",
                 "filename=\"",
                 "%22",
                 "%0D%0A",
                 ";",
                 "\"",
                 "Content-Disposition: form-data"};
    out.runs = 20'000;
    return out;
}

}  // namespace ladderline::fuzz
