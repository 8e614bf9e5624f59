#pragma once
// Words and tables of a page in Markdown.

#include <string>
#include <vector>

namespace ladderline::scale {

class Page {
public:
    void head(const std::string& words) { out_ += "\n## " + words + "\n\n"; }
    void say(const std::string& words) { out_ += words + "\n\n"; }
    void item(const std::string& words) { out_ += "- " + words + "\n"; }
    void row(const std::vector<std::string>& cells);
    void table(const std::vector<std::string>& heads) {
        row(heads);
        row(std::vector<std::string>(heads.size(), "---"));
    }
    void end() { out_ += "\n"; }
    const std::string& text() const { return out_; }

private:
    std::string out_;
};

// "1.2 kB", "34 MB": powers of 1000, two or three digits.
std::string bytes_words(double bytes);
// "35 s", "4.2 min", "1.5 d".
std::string time_words(double seconds);
// "12 %", of a share between 0 and 1.
std::string share_words(double share);

}  // namespace ladderline::scale
