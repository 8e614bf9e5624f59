// The reader: bytes to records.
#include "node/domain/radio/adif.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <set>

#include "node/domain/radio/adif_words.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::domain {
namespace {

// No field of a log is longer; a larger length is a slip, and the bound keeps the reader linear on any input.
constexpr std::size_t value_size_max = 65'536;
// "<" NAME ":" LENGTH ":" TYPE ">": a tag that does not close within this is stray text.
constexpr std::size_t tag_size_max = 120;

bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

bool is_name(std::string_view name) {
    return !name.empty() && std::all_of(name.begin(), name.end(), [](char c) {
        return c > ' ' && c < 127 && c != ',' && c != ':' && c != '<' && c != '>' && c != '{' && c != '}';
    });
}

// Position of <EOR> at or after `from`, in either case; npos if none.
std::size_t find_end_of_record(std::string_view text, std::size_t from) {
    constexpr std::string_view mark = "<EOR>";
    for (std::size_t at = text.find('<', from); at != std::string_view::npos; at = text.find('<', at + 1)) {
        const std::string_view here = text.substr(at, mark.size());
        if (std::equal(here.begin(), here.end(), mark.begin(), mark.end(),
                       [](char a, char b) { return upper(a) == b; })) {
            return at;
        }
    }
    return std::string_view::npos;
}

struct Tag {
    std::size_t begin = 0;  // of '<'
    std::size_t end = 0;    // behind '>'
    std::string name;
    std::optional<std::size_t> size;  // none for <EOR> and <EOH>
    char type = 0;
    std::string fault;  // what is wrong with it; empty if nothing
};

// The part of a tag behind the name: LENGTH [: TYPE].
void read_size(Tag& tag, std::string_view rest) {
    const std::size_t colon = rest.find(':');
    const std::string_view digits = rest.substr(0, colon);
    const std::string_view type = colon == std::string_view::npos ? std::string_view{} : rest.substr(colon + 1);
    std::size_t size = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), size);
    if (digits.empty() || error == std::errc::invalid_argument || end != digits.data() + digits.size()) {
        tag.fault = "the length of field " + tag.name + " is not a number";
    } else if (error != std::errc{} || size > value_size_max) {
        tag.fault = "the length of field " + tag.name + " is beyond " + std::to_string(value_size_max) + " characters";
    } else if (colon != std::string_view::npos &&
               (type.size() != 1 || !std::isalpha(static_cast<unsigned char>(type[0])))) {
        tag.fault = "the type of field " + tag.name + " is not one letter";
    } else {
        tag.size = size;
        if (!type.empty()) tag.type = upper(type[0]);
    }
}

// Precondition: text[begin] == '<'.
Tag read_tag(std::string_view text, std::size_t begin) {
    Tag tag;
    tag.begin = begin;
    const std::string_view reach = text.substr(begin + 1, tag_size_max);
    const std::size_t close = reach.find_first_of("<>");
    if (close == std::string_view::npos || reach[close] != '>') {
        tag.end = begin + 1;
        tag.fault = "a '<' begins a field that no '>' closes";
        return tag;
    }
    tag.end = begin + 1 + close + 1;
    const std::string_view inside = reach.substr(0, close);
    const std::size_t colon = inside.find(':');
    tag.name = upper(inside.substr(0, colon));
    if (!is_name(tag.name)) {
        tag.name.clear();
        tag.fault = "a field has no usable name";
    } else if (colon != std::string_view::npos) {
        read_size(tag, inside.substr(colon + 1));
    } else if (tag.name != "EOR" && tag.name != "EOH") {
        tag.fault = "field " + tag.name + " has no length";
    }
    return tag;
}

// Ends of records as they look without any regard to lengths. A length that is too large swallows one. The mark within
// data alone proves nothing (a remark may speak of it); the mark and blanks followed by a field, or by the end of the
// data, does. Found once for the whole text, because lengths that overlap must not make the reader look again and
// again.
class RecordEnds {
public:
    explicit RecordEnds(std::string_view text) {
        for (std::size_t at = find_end_of_record(text, 0); at != std::string_view::npos;
             at = find_end_of_record(text, at + 1)) {
            Mark mark{at, at + mark_size};
            while (mark.blank_until < text.size() && is_blank(text[mark.blank_until])) ++mark.blank_until;
            marks_.push_back(mark);
            if (mark.blank_until == text.size() || text[mark.blank_until] != '<') continue;
            const Tag tag = read_tag(text, mark.blank_until);
            if (tag.size) before_fields_.push_back({at, tag.end});
        }
    }

    // Whether the bytes from `begin` to `end` hold one.
    bool any_within(std::size_t begin, std::size_t end) const {
        const auto field = std::partition_point(before_fields_.begin(), before_fields_.end(),
                                                [&](const BeforeField& e) { return e.at < begin; });
        if (field != before_fields_.end() && field->field_until <= end) return true;
        const auto behind = std::partition_point(marks_.begin(), marks_.end(),
                                                 [&](const Mark& mark) { return mark.at + mark_size <= end; });
        if (behind == marks_.begin()) return false;
        const Mark& last = *(behind - 1);
        return last.at >= begin && end <= last.blank_until;
    }

private:
    static constexpr std::size_t mark_size = 5;
    struct Mark {
        std::size_t at = 0;
        std::size_t blank_until = 0;  // the first byte that is not blank
    };
    struct BeforeField {
        std::size_t at = 0;
        std::size_t field_until = 0;  // behind its tag
    };
    std::vector<Mark> marks_;  // both rising
    std::vector<BeforeField> before_fields_;
};

// What may stand in our texts: UTF-8 is kept as it came, anything else outside ASCII 32 to 126 and line breaks is '?'.
std::string clean(std::string_view data) {
    const bool utf8 = is_utf8(data);
    std::string out{data};
    for (char& c : out) {
        const auto byte = static_cast<unsigned char>(c);
        const bool printable = (byte >= 32 && byte < 127) || c == '\r' || c == '\n' || c == '\t';
        if (!printable && !(utf8 && byte >= 128)) c = '?';
    }
    return out;
}

class Reader {
public:
    explicit Reader(std::string_view text) : text_(text), ends_(text) {
        if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;
    }

    AdifFile read() {
        if (at_ < text_.size() && text_[at_] != '<') read_header();
        begin_record();
        while (next_tag()) take(read_tag(text_, at_));
        if (!record_.fields.empty()) {
            problem(record_.byte_position, false, "it is not closed by <EOR>, so the file may have been cut off");
        }
        return std::move(file_);
    }

private:
    bool next_tag() {
        at_ = text_.find('<', at_);
        return at_ != std::string_view::npos;
    }

    void begin_record() {
        record_ = {};
        names_.clear();
        record_.number = ++number_;
        record_.byte_position = std::min(at_, text_.size());
    }

    // Free text, then fields, closed by <EOH>. What is odd in here is of no interest to anybody.
    void read_header() {
        const std::size_t start = at_;
        while (next_tag()) {
            const Tag tag = read_tag(text_, at_);
            at_ = tag.end;
            if (tag.name == "EOH" && tag.fault.empty()) return;
            if (tag.fault.empty() && tag.size && *tag.size <= text_.size() - tag.end) {
                file_.header.fields.push_back({tag.name, clean(text_.substr(tag.end, *tag.size)), tag.type});
                at_ += *tag.size;
            }
        }
        file_.header.fields.clear();
        at_ = start;
        file_.problems.push_back({0, start,
                                  "The header is not closed by <EOH> (byte " + std::to_string(start) +
                                      "); everything from the first field on was read as contacts."});
    }

    void take(const Tag& tag) {
        if (!tag.fault.empty()) return give_up(tag.begin, tag.fault);
        if (tag.name == "EOR" && !tag.size) return end_record(tag);
        if (tag.name == "EOH" && !tag.size) return end_header(tag);
        if (*tag.size > text_.size() - tag.end) {
            return give_up(tag.begin, "field " + tag.name + " claims " + std::to_string(*tag.size) +
                                          " characters, but the file ends " + std::to_string(text_.size() - tag.end) +
                                          " characters on");
        }
        if (ends_.any_within(tag.end, tag.end + *tag.size)) {
            return give_up(tag.begin, "field " + tag.name + " claims " + std::to_string(*tag.size) +
                                          " characters and so swallows the end of the record");
        }
        if (!names_.insert(tag.name).second) {
            return give_up(tag.begin, "field " + tag.name + " stands in it twice, so a length is probably wrong");
        }
        const std::string_view data = text_.substr(tag.end, *tag.size);
        record_.fields.push_back({tag.name, clean(data), tag.type});
        at_ = tag.end + *tag.size;
        look_for_stray_text(tag);
    }

    // Skipping what follows the data is the rule; letters that touch it mean that the length was too small.
    void look_for_stray_text(const Tag& tag) {
        if (at_ >= text_.size() || text_[at_] == '<' || is_blank(text_[at_])) return;
        problem(tag.begin, true,
                "more text touches field " + tag.name + " than its length of " + std::to_string(*tag.size) +
                    " covers; it was read as " + quoted_start(record_.fields.back().value));
    }

    void end_record(const Tag& tag) {
        at_ = tag.end;
        if (record_.fields.empty()) {
            record_.byte_position = at_;  // an empty record is no record
            return;
        }
        file_.records.push_back(std::move(record_));
        begin_record();
    }

    // Some programs leave out the free text, so that the header looks like a first record.
    void end_header(const Tag& tag) {
        if (number_ != 1 || !file_.header.fields.empty()) {
            return give_up(tag.begin, "an end of header stands among the contacts");
        }
        file_.header.fields = std::move(record_.fields);
        at_ = tag.end;
        number_ = 0;
        begin_record();
    }

    // Drops the record and goes on behind the first <EOR> after its beginning: a wrong length may have led us past it.
    // What was said about the record before is of no more interest.
    void give_up(std::size_t position, const std::string& reason) {
        while (!file_.problems.empty() && file_.problems.back().record_number == record_.number) {
            file_.problems.pop_back();
        }
        problem(position, false, reason);
        const std::size_t mark = find_end_of_record(text_, record_.byte_position);
        at_ = mark == std::string_view::npos ? text_.size() : mark + 5;
        begin_record();
    }

    void problem(std::size_t position, bool kept, const std::string& reason) {
        file_.problems.push_back({record_.number, position,
                                  "Record " + std::to_string(record_.number) + " (byte " + std::to_string(position) +
                                      ") " + (kept ? "is kept, but look at it: " : "was left out: ") + reason + "."});
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::size_t number_ = 0;
    AdifRecord record_;
    std::set<std::string> names_;  // of its fields
    RecordEnds ends_;
    AdifFile file_;
};

}  // namespace

std::string_view AdifRecord::value(std::string_view name) const {
    const auto found =
        std::find_if(fields.begin(), fields.end(), [&](const AdifField& field) { return field.name == name; });
    return found == fields.end() ? std::string_view{} : std::string_view{found->value};
}

AdifFile read_adi(std::string_view text) {
    return Reader{text}.read();
}

}  // namespace ladderline::domain
