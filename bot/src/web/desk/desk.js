// Keys for the desk. Every page works without this file.
"use strict";
(() => {
  const STORE = "cueline-desk-keys";
  const read = () => { try { return localStorage.getItem(STORE) !== "off"; } catch { return true; } };
  const keep = (on) => { try { localStorage.setItem(STORE, on ? "on" : "off"); } catch { /* not kept then */ } };
  let on = read();

  const writing = (target) =>
    target instanceof HTMLElement &&
    (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName));

  const show = (element) => {
    const details = element.closest("details");
    if (details && element.tagName !== "SUMMARY") details.open = true;
    if (element.tagName === "SUMMARY") element.parentElement.open = true;
    // What is written at once has the focus; what stops or lifts a stop does not.
    const first = element.tagName === "SUMMARY" && element.parentElement.querySelector("[data-first]");
    (first || element).focus();
    element.scrollIntoView({ block: "nearest" });
  };

  // From one case, or one line of a table, to the next.
  const step = (by) => {
    const links = [...document.querySelectorAll("main a.case")];
    if (links.length === 0) return false;
    const here = links.indexOf(document.activeElement);
    const to = here < 0 ? (by > 0 ? 0 : links.length - 1) : here + by;
    if (links[to]) show(links[to]);
    return true;
  };

  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && (event.ctrlKey || event.metaKey) && event.target.form) {
      event.preventDefault();
      event.target.form.requestSubmit();
      return;
    }
    if (event.key === "Escape" && writing(event.target)) {
      event.target.blur();
      return;
    }
    if (!on || event.ctrlKey || event.metaKey || event.altKey || writing(event.target)) return;
    if (event.key === "?") {
      location.assign("/desk/help");
    } else if (event.key === "j" && step(1)) {
      // moved
    } else if (event.key === "k" && step(-1)) {
      // moved
    } else {
      const target = /^[a-z]$/.test(event.key) && document.querySelector(`[data-key="${event.key}"]`);
      if (!target) return;
      if (target.tagName === "A") target.click();
      else show(target);
    }
    event.preventDefault();
  });

  // Whoever dictates or slips can switch the keys off (WCAG 2.1.4).
  const place = document.getElementById("keys-switch");
  if (place) {
    const button = document.createElement("button");
    button.type = "button";
    const tell = () => {
      button.textContent = on ? "Switch the keys off" : "Switch the keys on";
      document.getElementById("keys").hidden = !on;
    };
    button.addEventListener("click", () => { on = !on; keep(on); tell(); });
    place.replaceChildren(button);
    tell();
  } else {
    const line = document.getElementById("keys");
    if (line) line.hidden = !on;
  }
})();
