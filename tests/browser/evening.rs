//! Clearing the queue without a mouse.

use crate::{DANGER, SET, handed_over, sign_in, told_lifters, with_browser};
use anyhow::{Result, ensure};
use cueline_bot::record::CaseState;
use cueline_tests::browser::keys::{CONTROL, ENTER};

/// The button to send with has the focus by itself.
const ON_BUTTON: &str = "return document.activeElement.tagName === 'BUTTON'";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_evening_is_cleared_by_keyboard_alone() -> Result<()> {
    with_browser(async |stage, browser, url| {
        let names = [("mara", "Mara"), ("joel", "Joel"), ("nora", "Nora")];
        let mut numbers = Vec::new();
        for (id, name) in names {
            numbers.push(handed_over(stage, id, name, SET).await?);
        }
        let ruth = stage.lifter("ruth");
        stage.play(&ruth.says(DANGER)).await?;
        let stopped = stage.case_of(&ruth).await?.number;
        sign_in(stage, browser).await?;
        browser.wait_for("4 waiting").await?;

        // Emergency words first: one line, and the case is taken.
        browser.press("j").await?;
        browser.press(ENTER).await?;
        browser.wait_for(&format!("Case {stopped}: Ruth")).await?;
        browser.press("a").await?;
        browser
            .press("Please ring your emergency number now.")
            .await?;
        browser.press(&format!("{CONTROL}{ENTER}")).await?;
        browser.wait_for("As it will be read").await?;
        browser.wait_for("stopped for safety").await?;
        browser.wait_until(ON_BUTTON).await?;
        browser.press(ENTER).await?;
        browser.wait_for("Sent to Ruth").await?;
        ensure!(told_lifters(stage)?.contains("emergency number"));
        browser.press("t").await?;
        browser.press(ENTER).await?;
        browser.wait_for("is yours until").await?;
        browser.press("q").await?;
        browser.wait_for("4 waiting").await?;

        for (left, number) in numbers.iter().enumerate().map(|(i, n)| (3 - i, n)) {
            browser.press("jj").await?;
            browser.press(ENTER).await?;
            browser.wait_for(&format!("Case {number}:")).await?;
            browser.press("a").await?;
            browser
                .press("Breathe in before you walk out. Stay at 95 kg.")
                .await?;
            browser.press(&format!("{CONTROL}{ENTER}")).await?;
            browser.wait_for("As it will be read").await?;
            browser.wait_for("95 kg (209 lb)").await?;
            browser.wait_until(ON_BUTTON).await?;
            browser.press(ENTER).await?;
            browser.wait_for("Sent to").await?;
            browser.press("f").await?;
            browser.press(ENTER).await?;
            browser.wait_for("is finished").await?;
            browser.wait_for(&format!("{left} waiting")).await?;
            // The first case has the focus again; from there `j` goes on.
            browser.press("k").await?;
            browser.open(&format!("{url}/desk")).await?;
        }
        for (id, _) in names {
            let case = stage.case_of(&stage.lifter(id)).await?;
            assert_eq!(case.state, CaseState::Practising, "{id}");
        }
        Ok(())
    })
    .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn keys_do_nothing_while_one_writes_and_can_be_switched_off() -> Result<()> {
    with_browser(async |stage, browser, url| {
        let number = handed_over(stage, "mara", "Mara", SET).await?;
        sign_in(stage, browser).await?;
        let case = format!("{url}/desk/case/{number}");
        browser.open(&case).await?;
        browser.press("a").await?;
        browser.press("q a quick j").await?;
        assert_eq!(browser.address().await?, case);
        let typed = browser
            .script("return document.activeElement.value", &[])
            .await?;
        assert_eq!(typed, "q a quick j");
        browser.open(&format!("{url}/desk/help")).await?;
        browser.click("#keys-switch button").await?;
        browser.open(&case).await?;
        browser.press("q").await?;
        browser.press("?").await?;
        assert_eq!(browser.address().await?, case);
        Ok(())
    })
    .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn sheet_what_works_log_and_a_question_are_reached_by_keys() -> Result<()> {
    with_browser(async |stage, browser, url| {
        let number = handed_over(stage, "mara", "Mara", SET).await?;
        let joel = handed_over(stage, "joel", "Joel", SET).await?;
        sign_in(stage, browser).await?;
        browser.press("s").await?;
        browser.wait_for("Running order").await?;
        browser.press("jj").await?;
        browser.press(ENTER).await?;
        browser.wait_for(&format!("Case {joel}: Joel")).await?;
        // The field is open and has the focus; Enter in it sends the form.
        browser.press("n").await?;
        browser
            .wait_until("return document.activeElement.id === 'question'")
            .await?;
        browser.press("Do your heels stay down?").await?;
        browser.press(ENTER).await?;
        browser.wait_for("is asked in case").await?;
        assert_eq!(
            stage.case_of(&stage.lifter("joel")).await?.state,
            CaseState::Asking
        );
        browser.press("w").await?;
        browser.wait_for("nothing here is proof").await?;
        browser.press("g").await?;
        browser.wait_for("asked the lifter").await?;
        browser.press("j").await?;
        browser.press(ENTER).await?;
        browser.wait_for(&format!("Case {joel}: Joel")).await?;
        browser.open(&format!("{url}/desk/case/{number}")).await?;
        browser.press("c").await?;
        browser
            .wait_until("return document.activeElement.id === 'closes'")
            .await?;
        browser.open(&format!("{url}/desk/help")).await?;
        for said in ["the review sheet", "what works", "the log of this desk"] {
            browser.wait_for(said).await?;
        }
        Ok(())
    })
    .await
}
