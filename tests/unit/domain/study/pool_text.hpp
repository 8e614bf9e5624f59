#pragma once
// A small pool text of our own with everything that the published layout can hold.

#include <string>

namespace ladderline::study_test {

inline const std::string small_pool = R"(2030-2034 Practice Class Question Pool 1st Errata
Issued March 3, 2031

Q1A02 - change the question to read:
Which lamp is green?

FCC Element 2 Question Pool Syllabus
Effective 7/01/2030 - 6/30/2034

SUBELEMENT Q1 - LAMPS [2 Exam Questions - 2 Groups] 99 Questions
Q1A Lamps on the table
Q1B Lamps on the wall

FCC Element 2 Question Pool
Effective 7/01/2030 - 6/30/2034

SUBELEMENT Q1 - LAMPS AND SWITCHES [2 Exam Questions - 2 Groups]

Q1A Lamps on the table and
under it

Q1A01 (C) [97.1, 97.3(a)]
Which lamp is
red?
A. The first one, which stands
on the left
B. The second one
C. The third one
D. The fourth one
~~

Q1A02 (A)
Which lamp is green?
A. The first one
B. The second one
C. The third one
D. All of the above
~~

Q1A03 Question Deleted (section not renumbered)
~~

Q1A05 (D) [97.111((5)(b)]
Which lamp in figure Q1-2 is off?
A. One
B. Two
C. Three
D. Four
~~

Q1B - Lamps on the wall

Q1B01 (B)
What is the noise figure of a lamp?
A. None
B. A lamp has no such figure
C. Five
D. Six
~~

SUBELEMENT Q2 - CABLES [1 Exam Question - 1 Group]

Q2A - Cables

Q2A01 (A)
What is a cable?
A. A rope that carries current
B. A rope that carries water
C. A kind of lamp
D. A kind of table
~~

~~~end of question pool text~~~

Figures follow on the next page.
)";

// `text` with the first `what` replaced; the text must hold it.
inline std::string with(std::string text, const std::string& what, const std::string& instead) {
    text.replace(text.find(what), what.size(), instead);  // throws, and so fails the test, where it is missing
    return text;
}

}  // namespace ladderline::study_test
