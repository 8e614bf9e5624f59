#pragma once
// A made-up pool of element 2 in the published layout: 35 groups of two questions each, all with key A.

#include <string>

namespace ladderline::test {

inline std::string practice_question(const std::string& id, char key, const std::string& stem) {
    return id + " (" + key + ")\n" + stem + "\nA. first\nB. second\nC. third\nD. fourth\n~~\n\n";
}

// `changed`: the id of one question whose right answer is D instead.
inline std::string element_2_pool(const std::string& changed = "") {
    std::string out = "Question Pool 2022-2026\n\nFCC Element 2 Question Pool\nEffective 7/01/2022 - 6/30/2026\n\n";
    for (int subelement = 1; subelement <= 7; ++subelement) {
        const std::string part = "T" + std::to_string(subelement);
        out += "SUBELEMENT " + part + " - PART [5 Exam Questions - 5 Groups]\n\n";
        for (char group = 'A'; group <= 'E'; ++group) {
            out += part + group + " - Group " + part + group + "\n\n";
            for (const char* number : {"01", "02"}) {
                const std::string id = part + group + number;
                out += practice_question(id, id == changed ? 'D' : 'A', "What does " + id + " ask?");
            }
        }
    }
    return out + "~~~end of question pool text~~~\n";
}

}  // namespace ladderline::test
