#include "protocol/event/word_order.hpp"

#include <algorithm>
#include <map>
#include <numeric>

namespace ladderline::protocol {
namespace {

// For each word, by its place among all in the order of their times, the places of those that it stands behind.
using Causes = std::vector<std::vector<std::size_t>>;

Causes causes_of(const std::vector<PlacedWord>& words, const std::vector<std::size_t>& by_time) {
    std::map<std::pair<std::int64_t, std::int64_t>, std::size_t> by_log;
    std::map<EventId, std::size_t> by_id;
    for (std::size_t place = 0; place < by_time.size(); ++place) {
        const PlacedWord& word = words[by_time[place]];
        by_log.emplace(std::pair{word.log, word.seq}, place);
        by_id.emplace(word.id, place);
    }
    Causes out(words.size());
    for (auto word = by_log.begin(); word != by_log.end(); ++word) {
        const bool is_first = word == by_log.begin() || std::prev(word)->first.first != word->first.first;
        if (!is_first) out[word->second].push_back(std::prev(word)->second);
    }
    for (std::size_t place = 0; place < by_time.size(); ++place) {
        for (const EventId& id : words[by_time[place]].seen) {
            if (const auto found = by_id.find(id); found != by_id.end()) out[place].push_back(found->second);
        }
        std::sort(out[place].begin(), out[place].end());
    }
    return out;
}

}  // namespace

std::vector<std::size_t> order_of(const std::vector<PlacedWord>& words) {
    std::vector<std::size_t> by_time(words.size());
    std::iota(by_time.begin(), by_time.end(), std::size_t{0});
    std::sort(by_time.begin(), by_time.end(), [&](std::size_t a, std::size_t b) {
        return std::tie(words[a].time, words[a].id) < std::tie(words[b].time, words[b].id);
    });
    const Causes causes = causes_of(words, by_time);
    std::vector<std::size_t> next_cause(words.size(), 0);
    std::vector<bool> is_met(words.size(), false);
    std::vector<std::size_t> out;
    std::vector<std::size_t> waiting;  // each for the one above it; a log may be long, so there is no recursion
    for (std::size_t first = 0; first < by_time.size(); ++first) {
        if (is_met[first]) continue;
        is_met[first] = true;
        waiting.push_back(first);
        while (!waiting.empty()) {
            const std::size_t word = waiting.back();
            if (next_cause[word] == causes[word].size()) {
                out.push_back(by_time[word]);
                waiting.pop_back();
                continue;
            }
            const std::size_t cause = causes[word][next_cause[word]++];
            if (is_met[cause]) continue;
            is_met[cause] = true;
            waiting.push_back(cause);
        }
    }
    return out;
}

}  // namespace ladderline::protocol
