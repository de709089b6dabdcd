//! A whole evening of a coach: thirty cases of eleven kinds, cleared with the keyboard alone, none read
//! twice, and afterwards each as it was left and each message once.

use crate::brought::{Kind, brought};
use crate::{sign_in, with_browser};
use anyhow::{Context as _, Result, ensure};
use cueline_bot::record::{CaseState, ChallengeState, EntryKind};
use cueline_tests::browser::Browser;
use cueline_tests::browser::keys::{CONTROL, ENTER, TAB};
use cueline_tests::platform::Fault;
use cueline_tests::stage::{LIFTERS, Stage};
use std::collections::BTreeMap;

/// Waits until a page is there and painted: Chromium drops keys before that.
async fn arrived(browser: &Browser, path: &str) -> Result<()> {
    let there =
        format!("return location.pathname === '{path}' && document.readyState === 'complete'");
    browser.wait_until(&there).await?;
    browser.painted().await;
    Ok(())
}

/// The case whose link has the focus.
async fn marked(browser: &Browser) -> Result<i64> {
    browser
        .wait_until("return document.activeElement.matches('main a.case')")
        .await?;
    let href = "return document.activeElement.getAttribute('href')";
    let href = browser.script(href, &[]).await?;
    let number = href.as_str().and_then(|href| href.rsplit('/').next());
    Ok(number.context("no case is marked")?.parse()?)
}

/// One evening at the desk.
struct Evening<'a> {
    browser: &'a Browser,
    kinds: BTreeMap<i64, Kind>,
    /// Cases opened, in order.
    opened: Vec<i64>,
}

impl Evening<'_> {
    /// What the coach writes in a case; no two are the same.
    fn words(number: i64) -> String {
        format!("For case {number}: breathe in before the bar moves. Stay at 95 kg, or 185 lb.")
    }

    /// Waits until the page of the case is back after something was done in it.
    async fn back(&self, number: i64, told: &str) -> Result<()> {
        self.browser.wait_for(told).await?;
        arrived(self.browser, &format!("/desk/case/{number}")).await
    }

    async fn on(&self, what: &str) -> Result<()> {
        let on = format!("return document.activeElement.matches('{what}')");
        self.browser.wait_until(&on).await
    }

    /// Writes into the answer, after what stands there, and looks at the preview.
    async fn preview(&self, number: i64, words: &str) -> Result<()> {
        self.browser.press("a").await?;
        self.on("#answer").await?;
        let to_end = "const at = document.activeElement; at.selectionStart = at.value.length";
        self.browser.script(to_end, &[]).await?;
        self.browser.press(words).await?;
        self.browser.press(&format!("{CONTROL}{ENTER}")).await?;
        self.browser.wait_for("As it will be read").await?;
        arrived(self.browser, &format!("/desk/case/{number}/preview")).await
    }

    /// Presses the second button of the preview: sent, and the desk goes on.
    async fn send_and_go_on(&self) -> Result<()> {
        self.browser.press("f").await?;
        self.on("button[data-key=f]").await?;
        self.browser.press(ENTER).await?;
        arrived(self.browser, "/desk").await?;
        self.browser.wait_for("Sent to").await
    }

    /// Answers in both units and goes on.
    async fn answer(&self, number: i64) -> Result<()> {
        self.preview(number, &Self::words(number)).await?;
        self.browser.wait_for("95 kg (209 lb)").await?;
        self.browser.wait_for("185 lb (83.9 kg)").await?;
        self.send_and_go_on().await
    }

    /// Presses the button a key leads to; the case is out of the queue by that.
    async fn press_and_go_on(&self, key: &str) -> Result<()> {
        self.browser.press(key).await?;
        self.on("button").await?;
        self.browser.press(ENTER).await?;
        arrived(self.browser, "/desk").await
    }

    /// Does what a case needs. Wherever it leads, the next case is one key away.
    async fn clear(&self, stage: &mut Stage, number: i64, kind: Kind) -> Result<()> {
        let browser = self.browser;
        match kind {
            Kind::Answer | Kind::SecondFailure => self.answer(number).await,
            Kind::Plan => {
                browser.press("p").await?;
                arrived(browser, &format!("/desk/case/{number}/plan")).await?;
                let words = format!(" {}", Self::words(number));
                self.preview(number, &words).await?;
                browser.wait_for("Practise").await?;
                self.send_and_go_on().await
            }
            Kind::Verdict => {
                self.judge(number).await?;
                self.answer(number).await
            }
            Kind::Undelivered => {
                stage.river.fails_in(LIFTERS, 1, Fault::Status(404));
                self.answer(number).await?;
                stage.rest().await?;
                stage.river.recovers();
                Ok(())
            }
            Kind::Ask => {
                browser.press("n").await?;
                self.on("#question").await?;
                browser
                    .press(&format!("In case {number}, do your heels stay down?"))
                    .await?;
                browser.press(ENTER).await?;
                arrived(browser, "/desk").await?;
                browser.wait_for("is asked in case").await
            }
            Kind::Emergency | Kind::Stop | Kind::Cleared => self.stops(number, kind).await,
            Kind::Challenge => {
                browser.press("c").await?;
                self.on("#closes").await?;
                browser.press(&format!("{CONTROL}{ENTER}")).await?;
                browser.wait_for("exact text").await?;
                arrived(browser, &format!("/desk/case/{number}")).await?;
                self.judge(number).await?;
                self.answer(number).await
            }
            Kind::Bens => {
                // Who has it is said; the coach goes on with the next.
                browser.wait_for("with ben until").await?;
                browser.press("j").await?;
                let gone_on = format!(
                    "return location.pathname.startsWith('/desk/case/') \
                     && location.pathname !== '/desk/case/{number}'"
                );
                browser.wait_until(&gone_on).await
            }
            Kind::Finish => {
                self.press_and_go_on("f").await?;
                browser.wait_for("is finished").await
            }
        }
    }

    /// Cases that are stopped, are to be, or need be no more.
    async fn stops(&self, number: i64, kind: Kind) -> Result<()> {
        let browser = self.browser;
        match kind {
            Kind::Emergency => {
                let words = format!("For case {number}: please ring your emergency number now.");
                self.preview(number, &words).await?;
                browser.wait_for("stopped for safety").await?;
                self.send_and_go_on().await?;
                browser.wait_for("stays stopped").await
            }
            Kind::Stop => {
                browser.press("h").await?;
                self.on("summary").await?;
                browser.press(TAB).await?;
                self.on("#why").await?;
                browser.press("this grinding does not look right").await?;
                browser.press(ENTER).await?;
                self.back(number, "is stopped. The lifter was told.")
                    .await?;
                self.press_and_go_on("f").await?;
                browser.wait_for("stays stopped").await
            }
            _ => {
                browser.press("l").await?;
                self.on("summary").await?;
                browser.press(TAB).await?;
                self.on("button.danger").await?;
                browser.press(ENTER).await?;
                self.back(number, "is lifted").await?;
                self.answer(number).await
            }
        }
    }

    /// Chooses what is behind the set, by typing its first words.
    async fn judge(&self, number: i64) -> Result<()> {
        self.browser.press("v").await?;
        self.on("#cause-first").await?;
        let third = "return document.activeElement.options[3].text.slice(0, 12)";
        let cause = self.browser.script(third, &[]).await?;
        self.browser
            .press(cause.as_str().context("no cause")?)
            .await?;
        self.browser.press(&format!("{CONTROL}{ENTER}")).await?;
        self.back(number, &format!("Verdict on case {number} kept"))
            .await
    }

    /// From the queue through every case that waits for this coach.
    async fn through_the_queue(&mut self, stage: &mut Stage) -> Result<()> {
        let mine =
            |kinds: &BTreeMap<i64, Kind>| kinds.values().filter(|k| **k != Kind::Bens).count();
        let mut left = mine(&self.kinds);
        while left > 0 {
            let at = self.browser.address().await?;
            let number = if at.contains("/desk/case/") {
                // Gone on from a case of Ben's.
                let path = at.split('?').next().unwrap_or_default();
                path.rsplit('/').next().context("no case")?.parse()?
            } else {
                let number = marked(self.browser).await?;
                self.browser.press(ENTER).await?;
                number
            };
            arrived(self.browser, &format!("/desk/case/{number}")).await?;
            ensure!(
                !self.opened.contains(&number),
                "case {number} comes a second time, after {:?}",
                self.opened
            );
            self.opened.push(number);
            let kind = *self.kinds.get(&number).context("a case nobody brought")?;
            self.clear(stage, number, kind)
                .await
                .with_context(|| format!("case {number}, {kind:?}"))?;
            left -= usize::from(kind != Kind::Bens);
        }
        Ok(())
    }
}

impl Evening<'_> {
    /// What was not delivered says so, and goes out again.
    async fn sends_again(&self) -> Result<()> {
        let browser = self.browser;
        browser.wait_for("was not delivered").await?;
        browser.press("u").await?;
        arrived(browser, "/desk/undelivered").await?;
        browser.press("r").await?;
        self.on("button.main").await?;
        browser.press(ENTER).await?;
        browser.wait_for("1 messages go out again").await
    }

    /// Ben does his cases in chat; one who was asked answers, and that case comes back and is answered.
    async fn the_last(&self, stage: &mut Stage) -> Result<i64> {
        let (browser, ben) = (self.browser, stage.coach("ben"));
        for (number, _) in self.kinds.iter().filter(|(_, kind)| **kind == Kind::Bens) {
            let words = Self::words(*number);
            stage
                .play(&ben.says(&format!("say {number} {words}")))
                .await?;
            stage.play(&ben.says(&format!("finish {number}"))).await?;
        }
        let asked = stage.lifter("ask-0").called("Ask 0");
        stage.play(&asked.says("yes, they stay down")).await?;
        let last = stage.case_of(&asked).await?.number;
        browser.press("q").await?;
        arrived(browser, "/desk").await?;
        browser.wait_for("1 waiting").await?;
        browser.press("j").await?;
        ensure!(
            marked(browser).await? == last,
            "the answer brings its case back"
        );
        browser.press(ENTER).await?;
        arrived(browser, &format!("/desk/case/{last}")).await?;
        browser.wait_for("they stay down").await?;
        self.answer(last).await?;
        browser.wait_for("Nothing waits").await?;
        Ok(last)
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn thirty_cases_are_cleared_by_keyboard_in_one_evening_and_none_is_read_twice() -> Result<()>
{
    with_browser(async |stage, browser, _| {
        let kinds = brought(stage).await?;
        ensure!(kinds.len() == 30, "{kinds:?}");
        sign_in(stage, browser).await?;
        browser.wait_for("30 waiting").await?;
        browser.press("j").await?;
        let mut evening = Evening {
            browser,
            kinds,
            opened: Vec::new(),
        };
        evening.through_the_queue(stage).await?;
        browser.wait_for("2 waiting").await?;
        let opened = &evening.opened;
        let first: Vec<Kind> = opened
            .iter()
            .take(4)
            .map(|number| evening.kinds[number])
            .collect();
        ensure!(
            first
                == [
                    Kind::Emergency,
                    Kind::Emergency,
                    Kind::Cleared,
                    Kind::Cleared
                ],
            "safety first: {first:?}"
        );
        evening.sends_again().await?;
        let last = evening.the_last(stage).await?;
        as_it_was_left(stage, &evening.kinds, last).await
    })
    .await
}

/// What the database and the chat hold in the end.
async fn as_it_was_left(stage: &mut Stage, kinds: &BTreeMap<i64, Kind>, last: i64) -> Result<()> {
    stage.rest().await?;
    let none_left = stage.look().number("SELECT COUNT(*) FROM queue").await?;
    assert_eq!(none_left, 0);
    let dead = "SELECT COUNT(*) FROM outbox WHERE state IN ('dead', 'ready')";
    assert_eq!(stage.look().number(dead).await?, 0);
    let said = stage.river.messages_to(LIFTERS);
    for (number, kind) in kinds {
        let case = stage.store()?.case_by_number(*number).await?;
        let case = case.context("the case is gone")?;
        let state = match kind {
            Kind::Ask if *number != last => CaseState::Asking,
            Kind::Emergency | Kind::Stop => CaseState::Halted,
            Kind::Finish => CaseState::Mended,
            _ => CaseState::Practising,
        };
        assert_eq!(case.state, state, "case {number}, {kind:?}");
        let aside = matches!(kind, Kind::Emergency | Kind::Stop);
        assert_eq!(case.body.set_aside, aside, "case {number}, {kind:?}");
        let told = |text: &str| said.iter().filter(|one| one.text.contains(text)).count();
        let answered = usize::from(
            !matches!(kind, Kind::Stop | Kind::Finish) && (*kind != Kind::Ask || *number == last),
        );
        assert_eq!(
            told(&format!("For case {number}:")),
            answered,
            "{number}, {kind:?}"
        );
        let asked = usize::from(*kind == Kind::Ask);
        assert_eq!(
            told(&format!("In case {number}, do your")),
            asked,
            "{number}"
        );
        let entries = stage.store()?.entries(&case.id, 100).await?;
        let coachs = entries
            .iter()
            .filter(|entry| entry.kind == EntryKind::Coach);
        assert_eq!(
            coachs.count(),
            answered + asked,
            "{number}, {kind:?}: {entries:#?}"
        );
        let judged = stage.store()?.verdict_of_case(&case.id).await?;
        let wanted = matches!(kind, Kind::Verdict | Kind::Challenge);
        assert_eq!(judged.is_some(), wanted, "{number}, {kind:?}");
    }
    read_once(stage).await?;
    // The community waits for the lifters' own yes.
    for id in [1, 2] {
        let challenge = stage.store()?.challenges().numbered(id).await?;
        let challenge = challenge.context("no challenge")?;
        assert_eq!(challenge.state, ChallengeState::Asked);
    }
    Ok(())
}

/// By the log of the desk: a plain answer costs one look at the case and one at the preview, and no case
/// is looked at again after it was answered.
async fn read_once(stage: &mut Stage) -> Result<()> {
    let again = stage
        .look()
        .number(
            "SELECT COUNT(*) FROM access_log AS seen JOIN access_log AS said
             ON said.case_id = seen.case_id AND said.seq < seen.seq
             WHERE seen.what = 'case' AND said.what = 'say'",
        )
        .await?;
    assert_eq!(again, 0, "a case was shown again after its answer");
    let plain = "SELECT COUNT(*) FROM (SELECT seen.case_id FROM access_log AS seen
         WHERE seen.what = 'case' AND seen.case_id IN (
             SELECT cases.id FROM cases WHERE cases.person_id LIKE 'answer-%')
         GROUP BY seen.case_id HAVING COUNT(*) = 1)";
    assert_eq!(stage.look().number(plain).await?, 5);
    Ok(())
}
