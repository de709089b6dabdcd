// Adds news to the practice room as it comes and sends without loading the page anew. Everything
// people wrote is put in as text, never as HTML. Without this file the page works by plain forms.
"use strict";
(() => {
  const room = document.getElementById("room");
  if (!room) return;
  const feed = document.getElementById("feed");
  const empty = document.getElementById("empty");
  const say = document.getElementById("say");
  const text = document.getElementById("text");
  const status = document.getElementById("status");
  const answering = document.getElementById("answering");
  const { seat, mark } = room.dataset;
  const people = JSON.parse(room.dataset.people || "{}");
  const own = location.origin + "/";
  const known = new Map();

  // An element with attributes and children; strings become text.
  const make = (tag, attributes = {}, ...children) => {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value !== undefined && value !== null && value !== false) element.setAttribute(name, value);
    }
    element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
    return element;
  };

  // The same Markdown subset as markup.rs.
  const between = (rest, sign) => {
    if (!rest.startsWith(sign)) return null;
    const end = rest.indexOf(sign, sign.length);
    const inner = end < 0 ? "" : rest.slice(sign.length, end);
    if (!inner || /^[ *]|[ \\]$/.test(inner)) return null;
    return [inner, rest.slice(end + sign.length)];
  };
  const marked = (rest, depth) => {
    if (rest.startsWith("`")) {
      const end = rest.indexOf("`", 1);
      if (end > 0) return [make("code", {}, rest.slice(1, end)), rest.slice(end + 1)];
    }
    if (rest.startsWith(own)) {
      const address = rest.match(/^[^\s<>"'`()[\]*]+/)[0].replace(/[.,;!?]+$/, "");
      return [make("a", { href: address, rel: "noopener" }, address), rest.slice(address.length)];
    }
    const link = /^\[([^[\]]*)\]\(([^()\s]*)\)/.exec(rest);
    if (link && link[2].startsWith(own)) {
      return [make("a", { href: link[2], rel: "noopener" }, link[1]), rest.slice(link[0].length)];
    }
    if (depth >= 2) return null;
    for (const [sign, tag] of [["**", "strong"], ["*", "em"]]) {
      const found = between(rest, sign);
      if (found) return [make(tag, {}, ...spans(found[0], depth + 1)), found[1]];
    }
    return null;
  };
  const spans = (line, depth = 0) => {
    const found = [];
    let plain = "";
    let rest = line;
    while (rest) {
      const span = marked(rest, depth);
      if (span) {
        found.push(plain, span[0]);
        plain = "";
        rest = span[1];
      } else {
        const skip = /^\\[!-/:-@[-`{-~]/.test(rest) ? 1 : 0;
        plain += rest[skip];
        rest = rest.slice(skip + 1);
      }
    }
    found.push(plain);
    return found.filter((one) => one !== "");
  };
  const render = (words) => {
    const blocks = [];
    const last = (tag) => (blocks.length && blocks[blocks.length - 1].tagName === tag ? blocks[blocks.length - 1] : null);
    const into = (tag) => last(tag) || blocks[blocks.push(make(tag)) - 1];
    let fence = null;
    let apart = true;
    for (const line of words.split("\n")) {
      const bullet = /^\s*- (.*)$/.exec(line);
      const numbered = /^\s*\d{1,2}\. (.*)$/.exec(line);
      if (line.trimStart().startsWith("```")) {
        if (fence) fence = null;
        else {
          fence = make("code");
          blocks.push(make("pre", {}, fence));
        }
        apart = true;
      } else if (fence) fence.append((fence.textContent ? "\n" : "") + line);
      else if (!line.trim()) apart = true;
      else if (bullet || numbered) {
        const tag = bullet ? "UL" : "OL";
        if (apart && last(tag)) blocks.push(make(tag));
        into(tag).append(make("li", {}, ...spans((bullet || numbered)[1])));
        apart = false;
      } else {
        if (!apart && last("P")) last("P").append(make("br"), ...spans(line));
        else blocks.push(make("p", {}, ...spans(line)));
        apart = false;
      }
    }
    return blocks;
  };
  const plainly = (words) => {
    const paragraph = make("p");
    words.split("\n").forEach((line, at) => paragraph.append(...(at ? [make("br")] : []), line));
    return paragraph;
  };

  const hidden = (name, value) => make("input", { type: "hidden", name, value });
  const form = (what, extra, ...children) =>
    make("form", { method: "post", action: "/practice/" + what, "data-live": what, ...extra },
      hidden("seat", seat), hidden("room", room.dataset.room), ...children);
  const when = (at) => {
    const time = new Date(at);
    return time.toLocaleString("en-GB", { day: "numeric", month: "short", hour: "2-digit", minute: "2-digit", timeZone: "UTC" }).replace(",", "") + " UTC";
  };
  const short = (message) => {
    const line = message.text.split("\n")[0];
    const start = Array.from(line).slice(0, 48).join("");
    return message.author.name + ": “" + start + (start.length < message.text.length ? "…" : "") + "”";
  };

  const buttons = (message) => {
    if (!message.choices.length) return [];
    const label = new Map(message.choices.map((one) => [one.choice_id, one.label]));
    const pressed = (one) => message.presses.some((press) => press.choice_id === one.choice_id && press.by_id === seat);
    const row = form("press", { class: "choices" }, hidden("message", message.id),
      ...message.choices.map((one) => make("button", {
        type: "submit", name: "choice", value: one.choice_id, class: one.style, "aria-pressed": String(pressed(one)),
      }, one.label)));
    if (!message.presses.length) return [row];
    const said = message.presses.map((press) => press.by_name + " pressed “" + label.get(press.choice_id) + "”");
    return [row, make("p", { class: "presses" }, said.join("; "))];
  };
  const acts = (message, isOwn) => {
    const reply = make("a", { href: "#say", "data-reply": message.id }, "Reply");
    const edit = isOwn && !message.id.startsWith("f-") && make("details", {},
      make("summary", {}, "Edit"),
      form("edit", {}, hidden("message", message.id),
        make("textarea", { name: "text", rows: 3, maxlength: 8000, required: "", "aria-label": "New words" }, message.text),
        make("button", { class: "main", type: "submit" }, "Save")));
    const remove = isOwn && form("delete", {}, hidden("message", message.id),
      make("button", { class: "quiet", type: "submit" }, "Take back"));
    return make("div", { class: "acts" }, reply, edit, remove);
  };
  const card = (message) => {
    const { kind } = message.author;
    const isOwn = kind === "person" && message.author.id === seat && !message.deleted;
    const role = kind === "person" ? people[message.author.id] : kind === "service" ? "answers by itself" : null;
    const answered = message.reply_to && known.get(message.reply_to);
    const words = message.deleted ? [make("p", { class: "gone" }, "taken back")]
      : kind === "service" ? render(message.text) : [plainly(message.text)];
    const way = message.handover.state === "refused" ? message.handover.why
      : message.handover.state === "waiting" ? "On its way…" : null;
    return make("li", {
      id: "c-" + message.id, "data-place": message.place,
      class: ["card", kind, isOwn && "own", message.thread_id && "threaded"].filter(Boolean).join(" "),
    },
      make("p", { class: "head" },
        make("span", { class: "who" }, message.author.name),
        role && make("span", { class: "role" }, role),
        make("time", { datetime: message.at }, when(message.at)),
        message.version > 1 && make("span", { class: "mark" }, "edited"),
        message.room_id === "private-" + seat && make("span", { class: "mark" }, "only you see this")),
      answered && !answered.deleted && make("a", { class: "answering", href: "#c-" + answered.id }, "answers " + short(answered)),
      make("div", { class: "words" }, ...words),
      message.file && !message.deleted && make("p", { class: "presses" }, "sent along: " + message.file),
      message.picture && make("img", { src: "data:image/png;base64," + message.picture.data_base64, alt: message.picture.alt }),
      ...buttons(message),
      way && make("p", { class: "way" }, way),
      kind !== "room" && !message.deleted && acts(message, isOwn));
  };

  const atEnd = () => feed.scrollHeight - feed.scrollTop - feed.clientHeight < 80;
  const toEnd = () => feed.scrollTo({ top: feed.scrollHeight, behavior: "instant" });
  const put = (message) => {
    known.set(message.id, message);
    const old = document.getElementById("c-" + message.id);
    // Somebody is editing this card: let them finish.
    if (old && old.querySelector("details[open]") && old.contains(document.activeElement)) return;
    const fresh = card(message);
    if (old) {
      const held = old.contains(document.activeElement);
      old.replaceWith(fresh);
      if (held) fresh.querySelector("button, a")?.focus();
      return;
    }
    let before = feed.lastElementChild;
    while (before && Number(before.dataset.place) > message.place) before = before.previousElementSibling;
    if (before) before.after(fresh);
    else feed.prepend(fresh);
  };
  const take = (messages) => {
    const follow = atEnd();
    // Answered messages first, so that a card can show what it answers.
    for (const message of messages) known.set(message.id, message);
    messages.sort((a, b) => a.place - b.place).forEach(put);
    empty.hidden = feed.children.length > 0;
    if (messages.length && follow) toEnd();
  };

  const tell = (words, wrong) => {
    status.textContent = words;
    status.classList.toggle("wrong", Boolean(wrong));
  };
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const listen = async () => {
    let after = Number(room.dataset.after);
    let wait = 500;
    for (;;) {
      try {
        const asked = new URLSearchParams({ seat, room: room.dataset.room, after, mark });
        const answer = await fetch("/practice/feed?" + asked, { cache: "no-store" });
        if (!answer.ok) throw new Error("status " + answer.status);
        const news = await answer.json();
        if (news.mark !== mark) {
          location.reload();
          return;
        }
        if (wait > 500) tell("");
        wait = 500;
        after = news.next;
        take(news.messages);
        // From now on what comes is news, and is read out.
        setTimeout(() => feed.setAttribute("aria-live", "polite"), 500);
      } catch {
        tell("The service cannot be reached; trying again.", true);
        await pause(wait);
        wait = Math.min(wait * 2, 8000);
      }
    }
  };

  const answer = (id) => {
    const message = id && known.get(id);
    say.elements.reply_to.value = message ? id : "";
    answering.hidden = !message;
    document.getElementById("answering-what").textContent = message ? "Answering " + short(message) : "";
  };
  // The file chosen, as text in base64, with its name and kind; browsers differ in what they call a CSV.
  const file = document.getElementById("file");
  document.getElementById("file-line").hidden = false;
  const kinds = { png: "image/png", jpg: "image/jpeg", jpeg: "image/jpeg", csv: "text/csv", json: "application/json" };
  const along = async () => {
    const chosen = file.files[0];
    if (!chosen) return {};
    if (chosen.size > 262144) throw new Error("The file has " + chosen.size + " bytes; at most 262144 are accepted.");
    const url = await new Promise((done, failed) => {
      const reader = new FileReader();
      reader.onload = () => done(reader.result);
      reader.onerror = () => failed(new Error("The file cannot be read."));
      reader.readAsDataURL(chosen);
    });
    const kind = kinds[chosen.name.split(".").pop().toLowerCase()] || chosen.type;
    return { file_name: chosen.name, file_type: kind, file_data: url.slice(url.indexOf(",") + 1) };
  };
  const send = async (live, submitter) => {
    const body = new URLSearchParams(new FormData(live, submitter));
    const pressed = submitter || live.querySelector("button");
    if (pressed) pressed.disabled = true;
    tell("Sending…");
    live.querySelector(".note")?.remove();
    try {
      if (live === say) for (const [name, value] of Object.entries(await along())) body.set(name, value);
      const reply = await fetch(live.action, { method: "POST", body, headers: { accept: "application/json" } });
      if (!reply.ok) {
        const problem = await reply.json().catch(() => ({}));
        throw new Error(problem.detail || "The service answered with status " + reply.status + ".");
      }
      tell("");
      if (live === say) {
        text.value = "";
        file.value = "";
        text.required = true;
        answer(null);
        toEnd();
      } else if (live.dataset.live === "submit") live.reset();
      else if (live.dataset.live === "edit") {
        live.closest("details").open = false;
        const id = live.elements.message.value;
        if (known.has(id)) put(known.get(id));
      }
    } catch (error) {
      tell(error.message, true);
      // Also where it was sent from, for that may be far from the box.
      if (live !== say) live.append(make("p", { class: "note way" }, error.message));
    } finally {
      if (pressed) pressed.disabled = false;
    }
  };

  document.addEventListener("submit", (event) => {
    if (!event.target.dataset.live) return;
    event.preventDefault();
    send(event.target, event.submitter);
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a");
    if (!link) return;
    if (link.dataset.example) {
      event.preventDefault();
      text.value = link.dataset.example;
      text.focus();
    } else if (link.dataset.reply && known.has(link.dataset.reply)) {
      event.preventDefault();
      answer(link.dataset.reply);
      text.focus();
    } else if (link.id === "answer-none") {
      event.preventDefault();
      answer(null);
      text.focus();
    }
  });
  // A picture may come without words.
  file.addEventListener("change", () => { text.required = !file.files.length; });
  text.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
    event.preventDefault();
    if (text.value.trim() || file.files.length) say.requestSubmit();
  });

  // The first answer only builds the cards that stand here already anew.
  feed.setAttribute("aria-live", "off");
  // On a phone the seats stand in a row that scrolls: show the one taken.
  const taken = document.querySelector(".seats [aria-current]");
  if (taken) taken.closest("ul").scrollLeft = taken.offsetLeft - taken.closest("ul").offsetLeft - 24;
  toEnd();
  listen();
})();
