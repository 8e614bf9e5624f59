#include "store/read_model/seen_words.hpp"

#include <map>
#include <set>

namespace ladderline::store {

using namespace protocol;

Result<void> fill_in_seen(sqlite::Database& db, std::string_view sql, const CircleId& circle,
                          std::vector<PlacedWord>& words, const MayReplace& may_replace) {
    std::map<EventId, std::size_t> by_id;
    std::map<std::pair<std::int64_t, std::int64_t>, std::size_t> by_place;
    for (std::size_t i = 0; i < words.size(); ++i) {
        by_id.emplace(words[i].id, i);
        by_place.emplace(std::pair{words[i].log, words[i].seq}, i);
    }
    return db.query(
        sql,
        [&](const sqlite::Row& row) {
            const auto earlier = by_id.find(row.fixed<EventId>(0));
            const auto later = by_place.find({row.integer(1), row.integer(2)});
            if (earlier == by_id.end() || later == by_place.end()) return;
            if (!may_replace(later->second, earlier->second)) return;
            words[later->second].seen.push_back(earlier->first);
        },
        circle);
}

std::vector<EventId> last_of_each_log(const std::vector<PlacedWord>& words, const std::vector<std::size_t>& order) {
    std::vector<EventId> out;
    std::set<std::int64_t> named;
    for (auto at = order.rbegin(); at != order.rend() && out.size() < limits::superseded_max; ++at) {
        if (named.insert(words[*at].log).second) out.push_back(words[*at].id);
    }
    return out;
}

}  // namespace ladderline::store
