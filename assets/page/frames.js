'use strict';

/** The frames that prove a press, in a dialog. */

function frames_opener(sessions) {
  const dialog = document.getElementById('frames');

  function facts(session, press) {
    return portion_order.filter(part => press.cells[part] !== null).map(
      part => element('div', {}, element('dt', {}, part), element('dd', {}, `${press.cells[part]} ms`)));
  }

  function picture(session, place) {
    const strip = session.strips[place];
    if (strip) {
      const box = element('div', {class: 'strip', tabindex: '0', role: 'group', 'aria-label': 'Frames around press and light'});
      box.append(element('img', {src: strip, alt: `Frames of press ${session.presses[place].name}: above the button, below ` +
        'the patch, with the time from the press at which each frame began'}));
      return [box, element('p', {class: 'quiet'}, 'Above the button, below the patch. The time is that from the press to the ' +
        'beginning of the frame\'s exposure; dark to bright is the light.')];
    }
    const why = session.strips_left_out > 0
      ? 'The frames of this press are not in the page, which would grow too large; they lie in the folder evidence of the session.'
      : session.result.recording.kind === 'video' || session.result.recording.kind === 'images'
        ? 'No frames of this press are here: the pictures of the evidence were left out, are not in the session\'s folder any more, or this press was not seen.'
        : 'There are no frames: the recording is no film, so the instants come from its samples or its table.';
    return [element('p', {class: 'note'}, why)];
  }

  function fill(session, place) {
    const press = session.presses[place];
    const go = (towards, text) => element('button', {type: 'button', disabled: !session.presses[place + towards],
      onclick: () => fill(session, place + towards)}, text);
    const close = element('button', {type: 'button', class: 'close', onclick: () => dialog.close()}, 'Close');
    const title = element('h2', {id: 'frames-title', tabindex: '-1'}, `Press ${press.name}`);
    dialog.replaceChildren(
      element('header', {}, title, element('p', {class: 'quiet'}, named(session.name)), close),
      ...picture(session, place),
      element('dl', {class: 'facts'}, facts(session, press)),
      press.flags.length ? element('p', {}, `Noted: ${press.flags.join(', ')}.`) : '',
      element('p', {class: 'turn'}, go(-1, 'Press before'), ' ', go(1, 'Press after')));
    title.focus();
  }

  return (number, place, from) => {
    hide_tip();
    fill(sessions[number], place);
    if (!dialog.open) {
      dialog.showModal();
      dialog.addEventListener('close', () => from && from.focus(), {once: true});
    }
    document.getElementById('frames-title').focus();
  };
}
