// Looks again when the program says that something on this page has changed. Without it every page still works: the
// "Look again" link does the same by hand. Nothing that a person is typing is ever replaced.
(function () {
    "use strict";

    const retryMs = 15000;
    let stream = null;
    let seen = "0";
    let fetching = false;
    let waiting = false;

    function mainPart() {
        return document.getElementById("main");
    }

    function say(words) {
        const place = document.getElementById("live-news");
        if (place) place.textContent = words;
    }

    function isField(element) {
        return element !== null && /^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName);
    }

    function isChanged(field) {
        if (field.type === "hidden") return false;
        if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
        if (field.tagName !== "SELECT") return field.value !== field.defaultValue;
        const marked = Array.from(field.options).find(function (option) { return option.defaultSelected; });
        return field.selectedIndex !== (marked ? marked.index : 0);
    }

    function isBeingFilledIn(part) {
        const focus = document.activeElement;
        if (isField(focus) && part.contains(focus)) return true;
        return Array.from(part.querySelectorAll("input, textarea, select")).some(isChanged);
    }

    // The same link or button in the new part, so that the keyboard stays where it was.
    function counterpart(element, part) {
        const same = function (other) {
            return ["id", "href", "name", "value"].every(function (attribute) {
                return other.getAttribute(attribute) === element.getAttribute(attribute);
            }) && other.textContent === element.textContent;
        };
        return Array.from(part.querySelectorAll(element.tagName)).find(same) || part;
    }

    function put(fresh) {
        const old = mainPart();
        const focus = old.contains(document.activeElement) ? document.activeElement : null;
        const openIds = Array.from(old.querySelectorAll("details[open][id]")).map(function (d) { return d.id; });
        fresh.querySelectorAll("details[id]").forEach(function (d) { if (openIds.includes(d.id)) d.open = true; });
        const goal = focus ? (focus === old ? fresh : counterpart(focus, fresh)) : null;
        old.replaceWith(fresh);
        if (goal) goal.focus({preventScroll: true});
        say("This page was brought up to date.");
    }

    async function lookAgain() {
        if (fetching) {
            waiting = true;
            return;
        }
        if (isBeingFilledIn(mainPart())) {
            waiting = true;
            say("There is news for this page. It waits until what you are filling in is sent.");
            return;
        }
        fetching = true;
        waiting = false;
        try {
            const address = location.pathname + location.search;
            const answer = await fetch(address, {headers: {"X-Ladderline-Live": "1"}, cache: "no-store"});
            // Locked meanwhile: what the page shows is not for whoever sits here now.
            if (answer.status === 403) {
                location.reload();
                return;
            }
            const text = await answer.text();
            const fresh = new DOMParser().parseFromString(text, "text/html").getElementById("main");
            if (!answer.ok || !fresh) throw new Error("no page");
            // A person may have begun to type while the answer was under way.
            if (isBeingFilledIn(mainPart())) waiting = true;
            else put(document.adoptNode(fresh));
        } catch (problem) {
            say("This page could not be brought up to date. It shows what was known before.");
        }
        fetching = false;
        if (waiting && !isBeingFilledIn(mainPart())) lookAgain();
    }

    function close() {
        if (stream) stream.close();
        stream = null;
    }

    function open() {
        const topics = (mainPart().dataset.live || "").split(" ").filter(Boolean);
        if (stream || document.hidden || topics.length === 0) return;
        const query = topics.map(function (topic) { return "topic=" + encodeURIComponent(topic); }).join("&");
        stream = new EventSource("/live?" + query + "&seen=" + encodeURIComponent(seen));
        stream.addEventListener("news", function (event) {
            seen = event.lastEventId;
            lookAgain();
        });
        stream.addEventListener("error", function () {
            if (!stream || stream.readyState !== EventSource.CLOSED) return;
            close();
            setTimeout(open, retryMs);
        });
    }

    // Clocks that go on from the time of the machine that made the page, whatever this browser's clock says.
    function runClocks() {
        const clocks = Array.from(document.querySelectorAll("time[data-now]"));
        if (clocks.length === 0) return;
        const made = Date.parse(clocks[0].dateTime);
        const seenAt = performance.now();
        document.querySelectorAll("[data-now-made]").forEach(function (words) { words.textContent = ""; });
        setInterval(function () {
            const now = new Date(made + performance.now() - seenAt);
            clocks.forEach(function (clock) {
                clock.textContent = now.toLocaleTimeString("en-GB", {timeZone: clock.dataset.now});
            });
        }, 1000);
    }
    runClocks();

    if (!mainPart() || !window.EventSource) return;
    seen = mainPart().dataset.seen || "0";
    // A browser keeps few connections to one program, so a page that nobody looks at gives its own back.
    document.addEventListener("visibilitychange", function () {
        if (document.hidden) close();
        else open();
    });
    window.addEventListener("pagehide", close);
    window.addEventListener("pageshow", open);
    document.addEventListener("focusout", function () {
        setTimeout(function () { if (waiting && !fetching) lookAgain(); }, 0);
    });
    open();
})();
