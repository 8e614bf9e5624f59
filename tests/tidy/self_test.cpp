// Samples in tests/tidy/bad. A sample is named <rule>.sample (clean.sample: none may fire) and read line by line:
//   file: PATH        a file of the sample's tree begins, to be judged as if it stood there
//   fires: N N ...    lines of that file at which the rule must fire; at no other, and no other rule
//   |TEXT             one line of the file
//   N times |TEXT     the same line N times
//   open end          the last line so far loses its newline
//   folder: PATH      an empty folder
//   built: PATH ...   what targets build; without it that is not known
//   # TEXT            a remark

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <filesystem>
#include <map>
#include <sstream>
#include <tuple>

#include "tests/tidy/rules.hpp"

namespace fs = std::filesystem;

namespace ladderline::tidy {
namespace {

using Place = std::tuple<std::string, std::size_t, std::string>;  // path, line, rule

struct Sample {
    std::string rule;
    Tree tree;
    std::set<Place> expected;
    std::string trouble;  // the first line that could not be read
};

std::vector<std::string> words_of(std::string_view text) {
    std::istringstream in{std::string(text)};
    std::vector<std::string> words;
    for (std::string word; in >> word;) words.push_back(word);
    return words;
}

std::size_t number_of(std::string_view text) {
    std::size_t value = 0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

// The rest of the line when it begins with `key`, or nothing.
std::optional<std::string_view> after(std::string_view line, std::string_view key) {
    if (!line.starts_with(key)) return std::nullopt;
    return trimmed(line.substr(key.size()));
}

void read_line(const std::string& line, Sample& sample, std::string& path, std::map<std::string, std::string>& files) {
    const std::size_t bar = line.find(" times |");
    if (line.empty() || line.starts_with("# ")) return;
    if (line.front() == '|') {
        files[path] += line.substr(1) + "\n";
    } else if (const auto file = after(line, "file:")) {
        path = *file;
        files[path] = "";
    } else if (const auto fires = after(line, "fires:")) {
        for (const std::string& n : words_of(*fires)) sample.expected.insert({path, number_of(n), sample.rule});
    } else if (const auto folder = after(line, "folder:")) {
        path = *folder;
        sample.tree.folders.insert(path);
    } else if (const auto built = after(line, "built:")) {
        sample.tree.built.emplace();
        for (const std::string& name : words_of(*built)) sample.tree.built->insert(name);
    } else if (line == "open end" && !files[path].empty()) {
        files[path].pop_back();
    } else if (bar != std::string::npos && number_of(line) > 0) {
        for (std::size_t i = 0; i < number_of(line); ++i) files[path] += line.substr(bar + 8) + "\n";
    } else if (sample.trouble.empty()) {
        sample.trouble = line;
    }
}

Sample read_sample(const fs::path& file, const std::vector<std::string>& words) {
    Sample sample;
    sample.rule = file.stem().string();
    sample.tree.whole = false;
    sample.tree.words = words;
    std::istringstream in(read_file(file.string()));
    std::string path;
    std::map<std::string, std::string> files;
    for (std::string line; std::getline(in, line);) read_line(line, sample, path, files);
    for (auto& [name, text] : files) {
        sample.tree.paths.insert(name);
        sample.tree.sources.push_back(make_source(name, text));
        // A file below tests/fuzz stands in a folder, as on disk.
        const std::string folder = name.substr(0, name.rfind('/'));
        if (folder.starts_with("tests/fuzz/")) sample.tree.folders.insert(folder);
    }
    return sample;
}

std::size_t report(const Sample& sample, const char* what, const std::set<Place>& left, const std::set<Place>& right) {
    std::vector<Place> only;
    std::set_difference(left.begin(), left.end(), right.begin(), right.end(), std::back_inserter(only));
    for (const auto& [path, line, rule] : only) {
        std::printf("%s.sample: %s:%zu: %s %s\n", sample.rule.c_str(), path.c_str(), line, rule.c_str(), what);
    }
    return only.size();
}

// Number of places where the rules and the sample disagree.
std::size_t judge(const Sample& sample) {
    if (!sample.trouble.empty()) {
        std::printf("%s.sample: not understood: %s\n", sample.rule.c_str(), sample.trouble.c_str());
        return 1;
    }
    std::set<Place> fired;
    for (const Finding& finding : check(sample.tree)) fired.insert({finding.path, finding.line, finding.rule});
    return report(sample, "did not fire", sample.expected, fired) +
           report(sample, "fired where it must not", fired, sample.expected);
}

}  // namespace

int self_test(const std::string& root) {
    const std::vector<std::string> words = read_words(root);
    std::map<std::string, std::size_t> places;
    std::size_t wrong = 0;
    for (const fs::directory_entry& entry : fs::directory_iterator(root + "/tests/tidy/bad")) {
        const Sample sample = read_sample(entry.path(), words);
        places[sample.rule] = sample.expected.size();
        wrong += judge(sample);
    }
    std::size_t total = 0;
    for (const std::string_view rule : rule_names) {
        const std::size_t count = places[std::string(rule)];
        total += count;
        std::printf("%-16s fires at %zu places\n", std::string(rule).c_str(), count);
        if (count == 0) ++wrong;
    }
    if (!places.contains("clean") || places["clean"] != 0) ++wrong;
    std::printf("tidy: %zu rules, %zu places, %zu wrong\n", rule_names.size(), total, wrong);
    return wrong == 0 ? 0 : 1;
}

}  // namespace ladderline::tidy
