// The first officer's store after the invented year, to be opened with the program, for pictures and for trying out:
//   club_year FOLDER PASSPHRASE-FILE YYYY-MM-DD [SEED]     the last day of the year; the passphrase is the first line

#include <cstdio>
#include <fstream>
#include <string>

#include "node/app/home.hpp"
#include "tests/club_year/play.hpp"

using namespace ladderline;
using namespace ladderline::club_year;

int main(int count, char** words) {
    if (count != 4 && count != 5) {
        std::fputs("usage: club_year FOLDER PASSPHRASE-FILE YYYY-MM-DD [SEED]\n", stderr);
        return 2;
    }
    try {
        std::string passphrase;
        std::ifstream file(words[2]);
        if (!std::getline(file, passphrase)) throw std::runtime_error("the passphrase file cannot be read");
        const std::uint64_t seed = count == 5 ? std::stoull(words[4]) : usual_seed;
        const Story story = story_of(seed, test::day(words[3]));
        test::SetClock clock;
        test::SeededRandom random(seed);
        node::Env env{clock, random};
        clock.now = start_of(story.first);
        const auto home = test::must(node::create_home(words[1], as_bytes(passphrase), env));
        Play play(story, clock, *home->context);
        play.until(story.last);
        std::printf("%s holds the store of %s after %zu acts of %d members.\n", words[1],
                    story.people[first_officer].name.c_str(), story.acts.size(), members);
    } catch (const std::exception& error) {
        std::fprintf(stderr, "club_year: %s\n", error.what());
        return 1;
    }
    return 0;
}
